// Tests the sources of the page: packages are pinned, no file records where they came from, every word is in one file.
import assert from "node:assert/strict";
import {readdirSync, readFileSync} from "node:fs";
import {join} from "node:path";
import {test} from "node:test";
import {fileURLToPath} from "node:url";

const source = fileURLToPath(new URL("../../tools/report/", import.meta.url));
const listed = (folder) => readdirSync(folder, {withFileTypes: true}).flatMap((entry) => (entry.isFile() ? [join(folder, entry.name)] : listed(join(folder, entry.name))));
const files = listed(join(source, "src"));

test("packages are pinned to a version, and the lock file names no host", () => {
  const {dependencies, devDependencies} = JSON.parse(readFileSync(join(source, "package.json"), "utf8"));
  for (const [name, version] of Object.entries({...dependencies, ...devDependencies})) assert.match(version, /^\d+\.\d+\.\d+$/, name);
  const text = readFileSync(join(source, "package-lock.json"), "utf8");
  assert.ok(!text.includes('"resolved"'));
  const lock = JSON.parse(text);
  for (const [name, entry] of Object.entries(lock.packages)) if (name) assert.match(entry.integrity ?? "", /^sha512-/, name);
  const hosts = [...text.matchAll(/https?:\/\/([^/"]+)/g)].map(([, host]) => host).filter((host) => /regist|npm|artifact|mirror|proxy/.test(host));
  assert.deepEqual(hosts, []);
});

test("every sentence of the page is in words.ts", () => {
  const found = [];
  for (const file of files.filter((name) => name.endsWith(".ts") && !name.endsWith("words.ts")))
    for (const line of readFileSync(file, "utf8").split("\n")) {
      const code = line.replace(/^\s*(\/\/|\*|\/\*).*|\/\/ .*$/, "");
      for (const [, text] of code.matchAll(/["`]((?:[A-Z][a-z]+|[a-z]+) [a-z]+ [^"`]*)["`]/g))
        if (!/throw new Error|querySelector|style:|\$\{|var\(|class/.test(code)) found.push(`${file}: ${text}`);
    }
  assert.deepEqual(found, []);
});

test("source files are short enough to read", () => {
  for (const file of files) {
    const lines = readFileSync(file, "utf8").split("\n").length;
    assert.ok(lines <= (file.endsWith("words.ts") ? 500 : 320), `${file}: ${lines} lines`);
  }
});
