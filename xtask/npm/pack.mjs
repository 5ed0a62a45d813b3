// Packs a program by LZMA, and makes sure that the page's own unpacker gives it back, however it comes in, and refuses it
// when it is cut: `node pack.mjs FROM TO TOOLS UNPACK`.
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [from, to, tools, unpacker] = process.argv.slice(2);
const load = (path) => import(pathToFileURL(path));
const { compress } = await load(join(tools, "node_modules/lzma1/lib/index.js"));
// Imported as text: the folder it lies in does not say that it is a module.
const { unpacked } = await import(`data:text/javascript,${encodeURIComponent(await readFile(unpacker, "utf8"))}`);

/** What comes of packed bytes that arrive in pieces of a size. */
async function arrives(packed, piece) {
  const body = new ReadableStream({
    start(out) {
      for (let i = 0; i < packed.length; i += piece) out.enqueue(packed.subarray(i, i + piece));
      out.close();
    },
  });
  return new Uint8Array(await unpacked(new Response(body)).arrayBuffer());
}

const program = await readFile(from);
const packed = Uint8Array.from(compress(program, 9));
for (const piece of [7, 1000, packed.length]) {
  if (Buffer.compare(await arrives(packed, piece), program)) throw new Error(`${unpacker} does not give ${from} back.`);
}
for (const cut of [0, 5, 17, 30, packed.length - 100]) {
  const said = await arrives(packed.subarray(0, cut), 1000).catch((error) => error);
  if (!(said instanceof RangeError)) throw new Error(`${unpacker} takes ${cut} bytes of ${packed.length} for a program.`);
}
await writeFile(to, packed);
