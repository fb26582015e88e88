"""Every number of an HDF5 file, wherever it stands: datasets, fields of compound datasets, attributes."""
import h5py
import numpy as np


def _parts(name, dtype, values):
    """(name, values) of each plain part: compound types by their fields, arrays within a type as they are."""
    if dtype.names:
        for field in dtype.names:
            yield from _parts(f"{name}.{field}", dtype.fields[field][0], values[field])
    elif dtype.subdtype:
        yield from _parts(name, dtype.subdtype[0], values)
    else:
        yield name, values


def numbers(path):
    """{name: array} of all numbers; attributes are PATH@ATTRIBUTE. Raises TypeError on what is neither number nor text."""
    found = {}

    def take(name, dtype, values):
        for part, value in _parts(name, dtype, values):
            array = np.asarray(value)
            if array.dtype.kind in "fciub":
                found[part] = array
            elif array.dtype.kind not in "OSU":
                raise TypeError(f"{part} is of type {array.dtype}")

    with h5py.File(path) as file:
        def visit(name, thing):
            if isinstance(thing, h5py.Dataset):
                take("/" + name, thing.dtype, thing[()])
            for attribute, value in thing.attrs.items():
                if attribute not in ("DIMENSION_LIST", "REFERENCE_LIST"):  # references between axes, not values
                    array = np.asarray(value)
                    take(f"/{name}@{attribute}", array.dtype, array)
        visit("", file)
        file.visititems(visit)
    return found


def not_finite(path):
    """Names of all numbers with a NaN or an infinity among them."""
    return sorted(name for name, values in numbers(path).items()
                  if values.dtype.kind in "fc" and not np.all(np.isfinite(values)))
