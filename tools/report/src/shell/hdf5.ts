// The HDF5 reader as a bundle of its own: most of the page's size, and not needed for the first picture of an empty page.
import h5wasm from "h5wasm";

(globalThis as unknown as {cabinfieldHdf5: typeof h5wasm}).cabinfieldHdf5 = h5wasm;
