// What can be told of a page's look without looking: all of it runs in the page and gives plain sentences.

/** Faults of the page as it stands, as `kind: what`. */
export function faults() {
  const found = [];
  const LEAST = { target: 43.9, inline: 23.9, letters: 11.9 };
  const main = document.querySelector("#root") ?? document.body;
  const shows = (element) => element.getClientRects().length > 0 && element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const name = (element) => {
    const words = (element.getAttribute("aria-label") ?? element.textContent).replace(/\s+/g, " ").trim().slice(0, 40);
    return `${element.localName}${element.id && `#${element.id}`} "${words}"`;
  };
  const tell = (kind, what) => found.push(`${kind}: ${what}`);

  const beyond = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (beyond > 0) {
    const wide = [...main.querySelectorAll("*")].filter((e) => shows(e) && e.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5);
    tell("overflow", `${beyond} px, ${wide.slice(-1).map(name)}`);
  }

  for (const target of main.querySelectorAll("a[href], button, input, select, textarea, summary, label.file, label.tick")) {
    if (!shows(target) || target.closest(".tick, .file") !== target.closest("label.tick, label.file")) continue;
    if (target.matches(".tick input, .file input")) continue;
    const box = target.getBoundingClientRect();
    const around = getComputedStyle(target);
    // A link in a sentence is as high as its line.
    const inline = around.display === "inline" && target.parentElement.textContent.trim() !== target.textContent.trim();
    const height = inline ? Number.parseFloat(getComputedStyle(target.parentElement).lineHeight) : box.height;
    const least = inline ? LEAST.inline : LEAST.target;
    if (height < least || (!inline && box.width < least)) tell("target", `${name(target)} ${box.width.toFixed(0)} x ${height.toFixed(0)}`);
  }

  const small = [];
  const walker = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
  for (let text = walker.nextNode(); text; text = walker.nextNode()) {
    const element = text.parentElement;
    if (!text.data.trim() || !shows(element) || element.closest(".aloud, option, script, noscript")) continue;
    const scale = element.ownerSVGElement ? element.getScreenCTM().a : 1;
    const size = Number.parseFloat(getComputedStyle(element).fontSize) * scale;
    if (size < LEAST.letters) small.push([size, text.data.trim().slice(0, 30)]);
    // A key of the machinery in place of its label.
    const key = text.data.match(/\b[a-z]+[0-9]*_[a-z0-9_]+\b/);
    if (key && !element.closest("code, textarea")) tell("key", key[0]);
  }

  if (small.length) {
    const [size, words] = small.sort(([a], [b]) => a - b)[0];
    tell("small", `${size.toFixed(1)} px, "${words}", one of ${small.length}`);
  }

  for (const element of main.querySelectorAll("*")) {
    if (!shows(element) || element.closest("svg, .aloud, .file") || element.matches("input, select, textarea, [type=checkbox]")) continue;
    const { overflowX, overflowY } = getComputedStyle(element);
    const cut = (overflow, all, seen) => ["hidden", "clip"].includes(overflow) && all > seen + 1.5;
    if (cut(overflowX, element.scrollWidth, element.clientWidth) || cut(overflowY, element.scrollHeight, element.clientHeight)) {
      tell("cut", `${name(element)} ${element.scrollWidth} x ${element.scrollHeight} in ${element.clientWidth} x ${element.clientHeight}`);
    }
    if (["auto", "scroll"].includes(overflowX) && element.scrollWidth > element.clientWidth + 1) {
      tell("sideways", `${name(element)} ${element.scrollWidth} in ${element.clientWidth}`);
    }
  }
  // What is typed or chosen is wider than its box.
  const ruler = document.createElement("canvas").getContext("2d");
  for (const box of main.querySelectorAll("input:not([type=range], [type=checkbox], [type=file]), select")) {
    if (!shows(box)) continue;
    const style = getComputedStyle(box);
    ruler.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    const words = box.localName === "select" ? (box.selectedOptions[0]?.text ?? "") : box.value || box.placeholder;
    const arrow = box.localName === "select" ? 20 : 0;
    const room = box.clientWidth - Number.parseFloat(style.paddingLeft) - Number.parseFloat(style.paddingRight) - arrow;
    const width = ruler.measureText(words).width;
    if (width > room + 1) tell("box", `${box.id} "${words.slice(0, 40)}" ${width.toFixed(0)} in ${room.toFixed(0)}`);
  }

  for (const svg of main.querySelectorAll("svg")) {
    if (!shows(svg)) continue;
    const frame = svg.getBoundingClientRect();
    const boxes = [...svg.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
    for (const [at, [words, box]] of boxes.entries()) {
      if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.bottom > frame.bottom + 1) tell("label", `"${words}" leaves its drawing`);
      for (const [other, its] of boxes.slice(at + 1)) {
        const wide = Math.min(box.right, its.right) - Math.max(box.left, its.left);
        // A line's box is higher than its letters.
        const high = Math.min(box.bottom, its.bottom) - Math.max(box.top, its.top);
        if (wide > 1 && high > Math.min(box.height, its.height) * 0.3) tell("label", `"${words}" on "${other}"`);
      }
    }
  }

  const head = document.querySelector(".head");
  if (head && getComputedStyle(head).position === "sticky") {
    const share = head.offsetHeight / innerHeight;
    if (share > 0.36) tell("head", `takes ${(100 * share).toFixed(0)} % of the window`);
  }
  return [...new Set(found)];
}

/** What of the page lies over the entry that has the focus, entry by entry. */
export async function covered() {
  const found = [];
  const still = () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  for (const box of document.querySelectorAll(".entries input, .entries select, .entries textarea")) {
    if (!box.getClientRects().length) continue;
    box.focus();
    await still();
    const { top, bottom, left } = box.getBoundingClientRect();
    const head = document.querySelector(".head");
    const under = head && getComputedStyle(head).position === "sticky" ? head.getBoundingClientRect().bottom : 0;
    // Of a tall box the first lines are enough.
    const seen = Math.min(bottom, top + 96);
    if (top < under - 1 || seen > innerHeight + 1) found.push(`covered: ${box.id} ${top.toFixed(0)} to ${bottom.toFixed(0)}, head to ${under.toFixed(0)}, left ${left.toFixed(0)}`);
  }
  document.activeElement.blur();
  scrollTo(0, 0);
  return found;
}
