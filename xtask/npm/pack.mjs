// Packs a program by LZMA, and makes sure that the page's own unpacker gives it back: `node pack.mjs FROM TO TOOLS UNPACK`.
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [from, to, tools, unpacker] = process.argv.slice(2);
const load = (path) => import(pathToFileURL(path));
const { compress } = await load(join(tools, "node_modules/lzma1/lib/index.js"));
// Imported as text: the folder it lies in does not say that it is a module.
const { unpack } = await import(`data:text/javascript,${encodeURIComponent(await readFile(unpacker, "utf8"))}`);

const program = await readFile(from);
const packed = compress(program, 9);
if (Buffer.compare(unpack(packed), program)) throw new Error(`${unpacker} does not give ${from} back.`);
await writeFile(to, packed);
