// The HDF5 reader as a separate bundle: it is most of the page's size, and an empty page does not need it to appear.
import h5wasm from "h5wasm";

/** The library reports whether a read worked, but its JavaScript ignores that: a failed read would return arbitrary bytes. */
const ready = h5wasm.ready.then((module) => {
  const read = module.get_dataset_data;
  module.get_dataset_data = (...request) => {
    const status = read(...request);
    if (status < 0) throw new Error("the data cannot be read");
    return status;
  };
  return module;
});

(globalThis as unknown as {cabinfieldHdf5: typeof h5wasm}).cabinfieldHdf5 = {...h5wasm, ready};
