// Unpacks the program while it comes in, so that the browser compiles the beginning before the end has arrived. Packed by
// LZMA it is a sixth smaller than the gzip of it that hosts send.
//
// Source: Igor Pavlov, LZMA specification (draft, public domain): the range decoder of section "Range Decoder", the
// models and states of "LZMA Decoding". The file is of its format: properties, dictionary size, size, data.

/** Where each group of models begins in the one array of them. */
const [REP, REP_0, REP_1, REP_2, LONG, SLOT, FAR, ALIGN, LENGTH, REP_LENGTH, LITERAL] = [
  192, 204, 216, 228, 240, 432, 688, 816, 832, 1346, 1860,
];

/** More than any program of ours: what claims so is none. */
const MOST = 1 << 24;

/**
 * No symbol takes more bytes: the longest, a far match, has two bits for its kind, ten for its length and 36 for its
 * distance, and no bit takes more than a byte.
 */
const SYMBOL = 48;

/**
 * What `answer`, a Response, packs, as a Response with a program. Reading it fails with a RangeError when the bytes are cut
 * short or are none of a program; bytes of another kind give bytes that are no program.
 */
export function unpacked(answer) {
  const unpack = unpacker();
  const pass = (out, bytes) => bytes.length && out.enqueue(bytes);
  const whole = {
    transform: (chunk, out) => pass(out, unpack(chunk, false)),
    flush: (out) => pass(out, unpack(new Uint8Array(0), true)),
  };
  const headers = { "content-type": "application/wasm" };
  return new Response(answer.body.pipeThrough(new TransformStream(whole)), { headers });
}

/** A function that takes the next packed bytes, and whether they are the last, and gives the bytes that come of them. */
function unpacker() {
  let input = new Uint8Array(0);
  let at = 0;
  // Known once the head is there.
  let output, models, lc, lp, pb;
  // Range and code: in an array, since they outgrow the small integers that a script keeps in variables quickly.
  const coder = new Uint32Array([0xffffffff, 0]);

  const begin = () => {
    const size = new DataView(input.buffer).getUint32(5, true);
    if (size > MOST) throw new RangeError("The program that was sent is none.");
    output = new Uint8Array(size);
    lc = input[0] % 9;
    lp = ((input[0] / 9) | 0) % 5;
    pb = (input[0] / 45) | 0;
    models = new Uint16Array(LITERAL + (768 << (lc + lp))).fill(1024);
    // The first byte of the data is 0.
    for (at = 14; at < 18; at++) coder[1] = (coder[1] << 8) | input[at];
  };
  const refill = () => {
    if (coder[0] < 0x1000000) {
      coder[0] <<= 8;
      coder[1] = (coder[1] << 8) | input[at++];
    }
  };
  const bit = (model) => {
    const chance = models[model];
    const bound = (coder[0] >>> 11) * chance;
    const said = coder[1] < bound ? 0 : 1;
    if (said) {
      coder[0] -= bound;
      coder[1] -= bound;
      models[model] = chance - (chance >> 5);
    } else {
      coder[0] = bound;
      models[model] = chance + ((2048 - chance) >> 5);
    }
    refill();
    return said;
  };
  const tree = (base, bits) => {
    let symbol = 1;
    for (let i = 0; i < bits; i++) symbol = (symbol << 1) | bit(base + symbol);
    return symbol - (1 << bits);
  };
  const backwards = (base, bits) => {
    let symbol = 1;
    let value = 0;
    for (let i = 0; i < bits; i++) {
      const said = bit(base + symbol);
      symbol = (symbol << 1) | said;
      value |= said << i;
    }
    return value;
  };
  const length = (base, state) => {
    if (!bit(base)) return tree(base + 2 + state * 8, 3);
    if (!bit(base + 1)) return 8 + tree(base + 130 + state * 8, 3);
    return 16 + tree(base + 258, 8);
  };
  const distance = (slot) => {
    if (slot < 4) return slot;
    const bits = (slot >> 1) - 1;
    let value = (2 | (slot & 1)) << bits;
    if (slot < 14) return value + backwards(FAR + value - slot, bits);
    for (let i = bits - 1; i > 3; i--) {
      coder[0] >>>= 1;
      if (coder[1] >= coder[0]) {
        coder[1] -= coder[0];
        value += 2 ** i;
      }
      refill();
    }
    return value + backwards(ALIGN, 4);
  };

  let to = 0;
  let state = 0;
  // The last four distances.
  let near = 0;
  let second = 0;
  let third = 0;
  let fourth = 0;
  const run = (end) => {
    while (to < output.length && at <= end) {
      const place = to & ((1 << pb) - 1);
      if (!bit(state * 16 + place)) {
        const before = to ? output[to - 1] : 0;
        const base = LITERAL + 768 * (((to & ((1 << lp) - 1)) << lc) + (before >> (8 - lc)));
        let symbol = 1;
        if (state > 6) {
          let match = output[to - near - 1];
          let same = true;
          while (same && symbol < 256) {
            const expected = (match >> 7) & 1;
            match <<= 1;
            const said = bit(base + ((1 + expected) << 8) + symbol);
            symbol = (symbol << 1) | said;
            same = said === expected;
          }
        }
        while (symbol < 256) symbol = (symbol << 1) | bit(base + symbol);
        output[to++] = symbol;
        state = state < 4 ? 0 : state - (state < 10 ? 3 : 6);
        continue;
      }
      let count = 1;
      if (!bit(REP + state)) {
        fourth = third;
        third = second;
        second = near;
        count = length(LENGTH, place);
        near = distance(tree(SLOT + Math.min(count, 3) * 64, 6));
        count += 2;
        state = state < 7 ? 7 : 10;
      } else {
        // One of the last four distances again.
        const other = bit(REP_0 + state);
        if (other) {
          let again = second;
          if (bit(REP_1 + state)) {
            again = third;
            if (bit(REP_2 + state)) {
              again = fourth;
              fourth = third;
            }
            third = second;
          }
          second = near;
          near = again;
        }
        if (other || bit(LONG + state * 16 + place)) {
          count = length(REP_LENGTH, place) + 2;
          state = state < 7 ? 8 : 11;
        } else {
          state = state < 7 ? 9 : 11;
        }
      }
      for (; count > 0 && to < output.length; count--, to++) output[to] = output[to - near - 1];
    }
  };

  return (chunk, last) => {
    const rest = input.subarray(at);
    input = new Uint8Array(rest.length + chunk.length);
    input.set(rest);
    input.set(chunk, rest.length);
    at = 0;
    if (!output && (last || input.length >= 18)) begin();
    const from = to;
    if (output) run(last ? input.length : input.length - SYMBOL);
    if (last && to < output.length) throw new RangeError("The program that was sent is cut short.");
    return output ? output.slice(from, to) : chunk.subarray(0, 0);
  };
}
