// Bundles web/ into dist/, which the program embeds. It needs no network.
import { build } from "esbuild";
import { copyFile, mkdir, readFile } from "node:fs/promises";
import { gzipSync } from "node:zlib";

const heaviest = 150 * 1024; // bytes of html, js and css together, compressed

// What a file may be called stands in the contract alone.
const [, fileName] = (await readFile("openapi.yaml", "utf8")).match(/^ {4}file: .*pattern: ("[^"]+")/m);

await mkdir("dist", { recursive: true });
await build({
  entryPoints: { app: "web/main.ts" },
  outdir: "dist",
  bundle: true,
  define: { FILE_NAME: fileName },
  loader: { ".tsv": "text" },
  minify: true,
  format: "esm",
  target: ["es2022", "chrome109", "safari16", "firefox115"],
  legalComments: "eof",
  logLevel: "warning",
});
await copyFile("web/index.html", "dist/index.html");

let weight = 0;
for (const name of ["index.html", "app.js", "app.css"]) {
  const size = gzipSync(await readFile(`dist/${name}`)).length;
  weight += size;
  console.log(`${name}: ${size} bytes compressed`);
}
console.log(`together ${weight} of at most ${heaviest}`);
if (weight > heaviest) {
  process.exitCode = 1;
}
