// Unpacks the contents of the page: its own code and the results files, both deflated and base64-encoded.
import {shell} from "../words";
import type {Loader} from "./carried";

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let index = 0; index < text.length; ++index) bytes[index] = text.charCodeAt(index);
  return bytes;
}

function inflated(base64: string): Promise<ArrayBuffer> {
  const stream = new Blob([bytesOf(base64)]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return new Response(stream).arrayBuffer();
}

const started = new Map<string, Promise<void>>();

const part = (id: string) => inflated(document.getElementById(id)!.textContent!);

/** Runs a bundle of the page, once. */
function run(name: string): Promise<void> {
  let running = started.get(name);
  if (!running) {
    const needed = name === "hdf5" ? part("code-machine") : Promise.resolve(null);
    running = Promise.all([part("code-" + name), needed]).then(([bytes, machine]) => {
      if (machine) (globalThis as unknown as {cabinfieldHdf5Code: Uint8Array}).cabinfieldHdf5Code = new Uint8Array(machine);
      const script = document.createElement("script");
      script.textContent = new TextDecoder().decode(bytes);
      document.head.append(script);
    });
    started.set(name, running);
  }
  return running;
}

const loader: Loader = {
  run,
  licences: async () => new TextDecoder().decode(await part("licences")),
  carried: [...document.querySelectorAll<HTMLScriptElement>("script[data-results]")].map((script) => ({
    name: script.dataset.results!,
    thinned: script.dataset.thinned ?? "",
    bytes: async () => new Uint8Array(await inflated(script.textContent!))
  }))
};
(globalThis as unknown as {cabinfieldLoader: Loader}).cabinfieldLoader = loader;

if (typeof DecompressionStream === "undefined") {
  document.getElementById("page")!.textContent = shell.tooOld;
} else {
  if (loader.carried.length) void run("hdf5");
  void run("page");
}
