// The HDF5 reader as a bundle of its own: most of the page's size, and not needed for the first picture of an empty page.
import h5wasm from "h5wasm";

/** The library tells whether a read worked and its JavaScript does not ask: what could not be read would be chance. */
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
