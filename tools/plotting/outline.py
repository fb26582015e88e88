"""The lines of a technical drawing from triangles: edges where a surface bends or ends."""
import numpy as np

SAME_POINT_M = 1e-4    # m; a tenth of what a tape measure shows
SAME_NORMAL = 1e-3     # sine of the largest angle between planes that count as one


def plane_of(corners):
    """Unit normal with a unique sign, and offset; None for a triangle without area."""
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    size = np.linalg.norm(normal)
    if size < 1e-10:
        return None
    normal = normal / size
    largest = normal[np.argmax(np.abs(normal) > 0.5)]
    normal = normal if largest > 0 else -normal
    return normal, float(normal @ corners[0])


def coplanar_groups(vertex, triangle):
    """Lists of triangles that lie in the same plane."""
    groups = []
    for corners in triangle:
        plane = plane_of(vertex[corners])
        if plane is None:
            continue
        for (normal, offset), members in groups:
            if np.linalg.norm(np.cross(normal, plane[0])) < SAME_NORMAL and abs(normal @ vertex[corners[0]] - offset) < 1e-3:
                members.append(corners)
                break
        else:
            groups.append((plane, [corners]))
    return [members for _, members in groups]


def welded(vertex):
    """For each vertex the index of the first vertex at the same position."""
    seen, number = {}, np.empty(len(vertex), int)
    for index, key in enumerate(map(tuple, np.round(vertex / SAME_POINT_M).astype(np.int64))):
        number[index] = seen.setdefault(key, index)
    return number


def outline_edges(vertex, triangle):
    """[N, 2, 3] edges of one surface that two of its triangles in one plane do not share.

    Edges are first split at vertices that lie on them, so that triangles of different size also cancel.
    """
    same = welded(vertex)
    edges = []
    for members in coplanar_groups(vertex, triangle):
        corners = np.unique(same[np.array(members)])
        points = vertex[corners]
        count = {}
        for member in members:
            for a, b in zip(member, np.roll(member, -1)):
                for piece in split(vertex, same[a], same[b], corners, points):
                    count[piece] = count.get(piece, 0) + 1
        edges += [vertex[list(piece)] for piece, times in count.items() if times == 1]
    return np.array(edges).reshape(-1, 2, 3)


def split(vertex, a, b, corners, points):
    start, along = vertex[a], vertex[b] - vertex[a]
    length = np.linalg.norm(along)
    if length < SAME_POINT_M:
        return []
    at = (points - start) @ along / length
    off = np.linalg.norm(points - start - np.outer(at / length, along), axis=1)
    on = (off < SAME_POINT_M) & (at > SAME_POINT_M) & (at < length - SAME_POINT_M)
    chain = [a, *corners[on][np.argsort(at[on])], b]
    return [tuple(sorted((int(p), int(q)))) for p, q in zip(chain, chain[1:])]


def bodies(results):
    """{name: {surface: triangles}}: a face of a block is called block.face; the shell, with every other surface, is named ""."""
    found = {}
    for corners, surface in zip(results.triangle, results.triangle_surface):
        name = results.surface[surface]
        found.setdefault(name.rpartition(".")[0], {}).setdefault(name, []).append(corners)
    return {body: {name: np.array(t) for name, t in surfaces.items()} for body, surfaces in found.items()}


def all_triangles(body):
    return np.concatenate(list(body.values()))


def is_hollow(vertex, body):
    """True if the air is inside, as in a cut: triangles run counter-clockwise seen from the air."""
    corners = vertex[all_triangles(body)]
    corners = corners - corners.mean(axis=(0, 1))
    return float(np.sum(corners[:, 0] * np.cross(corners[:, 1], corners[:, 2]))) < 0
