// Bundles the page into one HTML template without results: node build.mjs OUTPUT.
// The three bundles (page, HDF5 reader, 3-D renderer) are deflated and base64-encoded; a small loader unpacks them.
import {build} from "esbuild";
import {readFile, readdir, writeFile} from "node:fs/promises";
import {dirname, join} from "node:path";
import {fileURLToPath} from "node:url";
import {deflateRawSync} from "node:zlib";

const here = dirname(fileURLToPath(import.meta.url));

const used = new Set();

/**
 * h5wasm holds its machine code as a string in its source. Parsing that as text delays the first picture by a quarter of a
 * second, so the machine code goes into the page as bytes.
 */
let machineCode = null;
const withoutMachineCode = {
  name: "without-machine-code",
  setup(run) {
    run.onLoad({filter: /h5wasm.*hdf5_util\.js$/}, async ({path}) => {
      const source = await readFile(path, "utf8");
      const start = source.indexOf("binaryDecode('", source.indexOf("function findWasmBinary()"));
      const end = source.indexOf("')}", start);
      if (start < 0 || end < 0) throw new Error(`${path} no longer holds its machine code where build.mjs looks for it: adapt build.mjs`);
      const literal = source.slice(start + "binaryDecode(".length, end + 1);
      const text = new Function(`return ${literal}`)();
      machineCode = Buffer.alloc(text.length);
      for (let index = 0; index < text.length; ++index) machineCode[index] = (~text.charCodeAt(index) >> 8) & text.charCodeAt(index);
      if (machineCode.subarray(0, 4).toString("latin1") !== "\0asm") throw new Error(`${path}: the part taken out is not WebAssembly machine code: adapt build.mjs`);
      return {contents: source.slice(0, start) + "globalThis.cabinfieldHdf5Code" + source.slice(end + 2), loader: "js"};
    });
  }
};

async function bundle(entry) {
  const result = await build({
    entryPoints: [join(here, "src", entry)],
    bundle: true,
    minify: true,
    write: false,
    format: "iife",
    target: "es2020",
    charset: "ascii",  // the HDF5 reader's source holds raw control characters: escape them
    define: {"import.meta.url": '""'},
    metafile: true,
    plugins: [withoutMachineCode],
    legalComments: "none",
    logLevel: "warning"
  });
  for (const input of Object.keys(result.metafile.inputs)) {
    const found = /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(input);
    if (found) used.add(found[1]);
  }
  return result.outputFiles[0].text;
}

const pack = (content) => deflateRawSync(Buffer.from(content), {level: 9}).toString("base64");
const packed = async (entry) => pack(await bundle(entry));

/** Licence texts that must be passed on with each library in the page. */
async function licences() {
  const texts = [];
  for (const name of [...used].sort()) {
    const folder = join(here, "node_modules", name);
    const {version, license} = JSON.parse(await readFile(join(folder, "package.json"), "utf8"));
    const files = (await readdir(folder)).filter((file) => /^(licen[cs]e|copying)/i.test(file));
    const words = await Promise.all(files.map((file) => readFile(join(folder, file), "utf8")));
    if (words.length === 0) {
      const about = await readFile(join(folder, "README.md"), "utf8");  // some libraries state it only there
      words.push(about.slice(about.search(/licen[cs]e/i)));
    }
    texts.push(`${name} ${version} (${license})\n\n${words.join("\n\n")}`);
  }
  return pack(texts.join(`\n\n${"-".repeat(72)}\n\n`));
}

const output = process.argv[2];
if (!output) {
  console.error("usage: node build.mjs OUTPUT");
  process.exit(2);
}
const parts = {
  style: await bundleStyle(),
  page: await packed("main.ts"),
  hdf5: await packed("shell/hdf5.ts"),
  renderer: await packed("cabin/renderer_3d.ts"),
  loader: await bundle("shell/loader.ts")
};
Object.assign(parts, await shellWords());
parts.machine = pack(machineCode);
parts.licences = await licences();
let page = await readFile(join(here, "src/shell/page.html"), "utf8");
// The replacement is a function because the text may hold $ signs.
for (const [name, text] of Object.entries(parts)) page = page.replace(`{{${name}}}`, () => text);
await writeFile(output, page);

/** Text that the page shows before its code runs. */
async function shellWords() {
  const result = await build({entryPoints: [join(here, "src/words.ts")], bundle: true, write: false, format: "esm", logLevel: "warning"});
  const {shell} = await import(`data:text/javascript;base64,${Buffer.from(result.outputFiles[0].text).toString("base64")}`);
  return shell;
}

async function bundleStyle() {
  const result = await build({
    entryPoints: [join(here, "src/style/page.css")], bundle: true, minify: true, write: false, logLevel: "warning"
  });
  return result.outputFiles[0].text;
}
