// What forum software makes of our links: each must become one link, whole and unchanged, wherever it stands in a post.
//
// Markdown by the libraries that forums run: markdown-it with linkify-it, and GitHub's dialect and CommonMark by micromark
// and commonmark.js. BBCode by the shapes of the patterns that forum software finds addresses with; those are written
// down from memory, reduced to what decides where an address ends.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import * as commonmark from "commonmark";
import MarkdownIt from "markdown-it";
import { micromark } from "micromark";
import { gfm, gfmHtml } from "micromark-extension-gfm";

const SITE = "https://example.org/workshop/layshaft/#";

/** Output lines of one of the project's programs. */
function lines(args, input = "") {
  const cwd = fileURLToPath(new URL("../..", import.meta.url));
  const out = execFileSync("cargo", ["run", "--quiet", ...args], { cwd, input, encoding: "utf8", maxBuffer: 1 << 28 });
  return out.trim().split("\n");
}

/** Entries that could end a link early, break it, or be read as markup. */
const TEXTS = [
  "end.", "end,", "end!?", "end)", "(both)", "((", "end_", "_end", "__a__", "end*", "**a**", "end~", "~~a~~", "end-", "end=", "end+", "end/",
  "a:b;c,d", "a|b", "a'b", 'a"b', "a<b>", "a`b`", "[a](b)", "[/url]", "[b]", "{a}", "a\\b", "a^2", "#a", "a&b", "&lt;", "&amp;k=0000", "&copy", "a=b",
  "100 %", "%41", "%", "25 °C", "10 µm", "4,7 kΩ", "±1", "2×3", "10·2", "Ω", "é", "日本", "🙂", "\u202e12", "a\u00a0b", "two words", " ends blank ", "a\tb",
  "http://example.com/", "www.example.com", "me@example.com", "-5", "+5", "1/2", "60/20*34/17", "Tr8x8(P2)", "25,100k;50,36k",
];
const queries = TEXTS.flatMap((text) => [
  `travel?pitch=${encodeURIComponent(text)}&teeth=20`,
  `microstep?turn_travel=40&step_limit=${encodeURIComponent(text)}&hold_torque=0.4`,
  `current?own_note=${encodeURIComponent(text)}&rated=1.5`,
]);
const chosen = lines(["-p", "layshaft-core", "--example", "link", "--", "-"], queries.join("\n") + "\n");
const random = lines(["-p", "layshaft-tests", "--bin", "random_links", "--", "100"]);
const links = [...chosen, ...random].map((text) => SITE + text);

/** Where a link may stand in a Markdown post. */
const MARKDOWN = {
  alone: (link) => link,
  "in a sentence": (link) => `The travel of my axis ${link} as worked out today.`,
  "before a full stop": (link) => `See ${link}.`,
  "before a comma": (link) => `By ${link}, as you said.`,
  "before a question mark": (link) => `Is it ${link}?`,
  "before an exclamation mark": (link) => `Look: ${link}!`,
  "in parentheses": (link) => `My axis (${link}) moves.`,
  "in parentheses, before a full stop": (link) => `It moves (see ${link}).`,
  "in bold": (link) => `**${link}**`,
  "in bold, in a sentence": (link) => `I get **${link}** here.`,
  "in italics": (link) => `*${link}*`,
  "in a list": (link) => `- ${link}`,
  "in a quotation": (link) => `> ${link}`,
  "in a heading": (link) => `## ${link}`,
  "between lines": (link) => `Before\n${link}\nafter`,
  "in angle brackets": (link) => `<${link}>`,
  "behind words": (link) => `[my axis](${link})`,
};

const unescape = (html) => html.replaceAll("&amp;", "&");
const hrefs = (html) => [...html.matchAll(/ href="([^"]*)"/g)].map(([, href]) => unescape(href));

const markdownIt = new MarkdownIt({ linkify: true });
const parser = new commonmark.Parser();
const writer = new commonmark.HtmlRenderer();

const LINKERS = {
  "markdown-it with linkify-it": (post) => hrefs(markdownIt.render(post)),
  "GitHub's dialect (micromark)": (post) => hrefs(micromark(post, { extensions: [gfm()], htmlExtensions: [gfmHtml()] })),
};

for (const [name, linker] of Object.entries(LINKERS)) {
  test(`${name} links each of ${links.length} links whole, wherever it stands`, () => {
    for (const link of links) {
      // One post with every place is one call; the places that differ are looked for only when one does.
      const places = Object.values(MARKDOWN);
      const found = linker(places.map((place) => place(link)).join("\n\n"));
      if (found.length === places.length && found.every((href) => href === link)) continue;
      for (const [where, place] of Object.entries(MARKDOWN)) {
        assert.deepEqual(linker(place(link)), [link], where);
      }
      assert.deepEqual(found, places.map(() => link), "all places in one post");
    }
  });
}

test("a colon or semicolon behind a link is all that a linker may take along", () => {
  // linkify-it takes the colon, GitHub the semicolon; both are dropped on reading, see core/src/link.rs.
  for (const link of links) {
    for (const [name, linker] of Object.entries(LINKERS)) {
      for (const mark of [":", ";"]) {
        const [href] = linker(`From ${link}${mark} 40 mm.`);
        assert.ok(href === link || href === link + mark, `${name}: ${href}`);
      }
    }
  }
});

test(`CommonMark keeps each of ${links.length} links as written`, () => {
  for (const link of links) {
    for (const where of ["in angle brackets", "behind words"]) {
      assert.deepEqual(hrefs(writer.render(parser.parse(MARKDOWN[where](link)))), [link], where);
    }
  }
});

/** Takes brackets that were not opened, and then what ends a sentence, off the end of an address. */
function trimmed(url, marks) {
  for (;;) {
    const last = url.at(-1);
    const unopened = last === ")" && url.split(")").length > url.split("(").length;
    if (!unopened && !marks.includes(last)) return url;
    url = url.slice(0, -1);
  }
}

/** How BBCode forums find addresses in the text of a post; the shapes of their patterns, from memory. */
const BBCODE = {
  // phpBB up to 3.1, "magic URL": the characters of RFC 3986, part by part.
  "characters of RFC 3986": (text) => {
    const char = "(?:[a-z0-9\\-._~!$&'(*+,;=:@|]+|%[\\dA-F]{2})";
    const more = char.replace("@|", "@/?|");
    const url = new RegExp(`(?:^|[\\n\\t (>.\\]])(https?:/{2}${char}+(?::\\d*)?(?:/${char}*)*(?:\\?${more}*)?(?:#${more}*)?)`, "gi");
    return [...text.matchAll(url)].map(([, found]) => trimmed(found, ".,?!:;"));
  },
  // TextFormatter's Autolink (phpBB from 3.2): anything but blanks and brackets, then all closing punctuation off but - = ) / _.
  "no blanks and no brackets": (text) => {
    const url = /\bhttps?:\/\/[^\s()[\]](?:[^\s()[\]<>"]|\([^\s()]*\)|\[\w*\])*/giu;
    return [...text.matchAll(url)].map(([found]) => found.replace(/(?:(?![-=)/_])\p{P})+$/u, ""));
  },
  // MyBB: the last character is a word's, a slash or a bracket.
  "ends in a word": (text) => {
    const url = /(?:[>\s()]|^)(https?:\/\/[^/"\s<[.]+\.(?:[^/"\s<[.]+\.)*\w+(?::[0-9]+)?(?:\/(?:[^"\s<[]|\[\])*)?[\w/)])/giu;
    return [...text.matchAll(url)].map(([, found]) => trimmed(found, ""));
  },
  // Common practice elsewhere: to the next blank, quotation mark or bracket, less what ends a sentence.
  "to the next blank": (text) => {
    const url = /(?<![a-z0-9@/.-])https?:\/\/[^\s"<>{}`^[\]]+/giu;
    return [...text.matchAll(url)].map(([found]) => trimmed(found, ".,:;!?'*_~"));
  },
};

/** Posts as those patterns get them: bold is HTML by then where the last two run, and still BBCode for the first two. */
const POSTS = {
  alone: (link) => link,
  "in a sentence": (link) => `The travel of my axis ${link} as worked out today.`,
  "before a full stop": (link) => `See ${link}.`,
  "before a comma": (link) => `By ${link}, as you said.`,
  "before a question mark": (link) => `Is it ${link}?`,
  "in parentheses": (link) => `My axis (${link}) moves.`,
  "in parentheses, before a full stop": (link) => `It moves (see ${link}).`,
  "between lines": (link) => `Before\n${link}\nafter`,
  "in bold": (link) => `I get [b]${link}[/b] here.`,
};
const asHtml = (post) => post.replaceAll("[b]", "<strong>").replaceAll("[/b]", "</strong>");

for (const [name, find] of Object.entries(BBCODE)) {
  test(`BBCode, ${name}: each of ${links.length} links is found whole`, () => {
    for (const link of links) {
      for (const [where, place] of Object.entries(POSTS)) {
        const html = name === "ends in a word" || name === "to the next blank";
        assert.deepEqual(find(html ? asHtml(place(link)) : place(link)), [link], where);
      }
    }
  });
}

test("the patterns do cut links that are not made for them", () => {
  // The reasons for our choice of characters: were these found whole, the tests above could not fail.
  const cut = (find, tail) => assert.notDeepEqual(find(`See ${SITE}travel?a=${tail} here`), [`${SITE}travel?a=${tail}`], tail);
  cut(LINKERS["markdown-it with linkify-it"], "b.");
  cut(LINKERS["markdown-it with linkify-it"], "a b");
  cut(LINKERS["GitHub's dialect (micromark)"], "b_");
  cut(BBCODE["characters of RFC 3986"], "a·b");
  cut(BBCODE["no blanks and no brackets"], "b.");
  cut(BBCODE["ends in a word"], "b=");
  cut(BBCODE["to the next blank"], "[b]");
});
