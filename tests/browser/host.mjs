// A static host as bad as they come: it serves the built page, and `fault` does to a request what hosts, networks and
// sign-in pages do to it.
import { readFile } from "node:fs/promises";
import { createServer } from "node:http";
import { extname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

export const DIST = fileURLToPath(new URL("../../dist", import.meta.url));

const TYPES = {
  ".css": "text/css",
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript",
  ".svg": "image/svg+xml",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
};

/** As hosts do it that know which names change with the content: the browser need not ask again for a year. */
const kept = (name) => (/[-.][0-9a-f]{8,16}[._]/.test(name) ? "public, max-age=31536000, immutable" : "no-cache");

/**
 * Serves a folder below a base path; `port` keeps the origin when a host is replaced by another.
 * Gives the address, the names of the files asked for so far, `stop`, and `fault`, which can be replaced at any time: it is
 * called with a file's name, how often it was asked for before, its body and the reply, and gives true if it has answered.
 */
export async function host({ dist = DIST, base = "/", port = 0, fault } = {}) {
  const site = { dist, fault, asked: [] };
  const server = createServer(async (request, reply) => {
    const path = decodeURI(request.url.split("?")[0]);
    const name = path === base ? "./" : path.slice(base.length);
    const before = site.asked.filter((other) => other === name).length;
    site.asked.push(name);
    const file = resolve(site.dist, name === "./" ? "index.html" : name);
    const body = path.startsWith(base) && file.startsWith(resolve(site.dist)) ? await readFile(file).catch(() => null) : null;
    const type = TYPES[extname(file)] ?? "application/octet-stream";
    reply.setHeader("content-type", body ? type : "text/plain");
    reply.setHeader("cache-control", name === "sw.js" ? "no-store" : kept(name));
    reply.setHeader("x-content-type-options", "nosniff");
    if (await site.fault?.({ name, before, body, reply })) return;
    reply.writeHead(body ? 200 : 404).end(body ?? "There is no such file here.");
  });
  await new Promise((listening) => server.listen(port, "127.0.0.1", listening));
  site.port = server.address().port;
  site.url = `http://127.0.0.1:${site.port}${base}`;
  site.stop = async () => {
    if (!server.listening) return;
    const closed = new Promise((done) => server.close(done));
    server.closeAllConnections();
    await closed;
  };
  return site;
}

/** The connection is lost in the midst of a file. */
export const lost = ({ body, reply }) => {
  reply.writeHead(200, { "content-length": body.length });
  reply.write(body.subarray(0, body.length >> 1), () => setTimeout(() => reply.destroy(), 20));
  return true;
};

/** Half a file, sent as if it were whole: an upload to the host that was cut, or a proxy that says nothing. */
export const half = ({ body, reply }) => {
  reply.writeHead(200).end(body.subarray(0, body.length >> 1));
  return true;
};

/** What a network in a station sends for every address until somebody signs in. */
export const PORTAL = "<!doctype html><title>Sign in</title><h1>Sign in to this network</h1>";
export const portal = ({ reply }) => {
  reply.writeHead(200, { "content-type": "text/html; charset=utf-8", "cache-control": "max-age=3600" }).end(PORTAL);
  return true;
};

/** Another address for this file. */
export const redirect = ({ reply }, to) => {
  reply.writeHead(301, { location: to, "content-type": "text/plain" }).end();
  return true;
};
