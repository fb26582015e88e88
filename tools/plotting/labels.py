"""Places names beside their symbols without overlap: each takes the cheapest of many positions, names in crowds first."""
from dataclasses import dataclass

import numpy as np

ANGLES = np.radians(np.arange(0, 360, 15))
REACHES = (4, 10, 18, 30, 46, 66, 92, 124)  # points beyond the symbol
LEADER_FROM = 16                            # points; a closer name needs no leader line


@dataclass
class Label:
    anchor: np.ndarray  # [2] points
    clearance: float    # radius of the symbol, points
    size: np.ndarray    # [2] points


def box_at(label, angle, reach):
    """Low and high corner of the name, placed in one direction from the symbol."""
    direction = np.array([np.cos(angle), np.sin(angle)])
    half = label.size / 2
    # The box touches a circle of this radius about the anchor with its nearest edge or corner.
    push = label.clearance + reach + np.min(half / np.maximum(np.abs(direction), 1e-9))
    centre = label.anchor + direction * push
    return np.array([centre - half, centre + half])


def overlap(box, others):
    """Area shared with each of [N, 2, 2] boxes."""
    shared = np.minimum(box[1], others[:, 1]) - np.maximum(box[0], others[:, 0])
    return np.prod(np.maximum(shared, 0), axis=1)


def crossings(box, segments):
    """Number of [N, 2, 2] segments that touch the box (slab method)."""
    if not len(segments):
        return 0
    start, along = segments[:, 0], segments[:, 1] - segments[:, 0]
    along = np.where(np.abs(along) < 1e-9, 1e-9, along)
    t1, t2 = (box[0] - start) / along, (box[1] - start) / along
    enter = np.max(np.minimum(t1, t2), axis=1)
    leave = np.min(np.maximum(t1, t2), axis=1)
    return int(np.sum((enter <= leave) & (leave >= 0) & (enter <= 1)))


def leader_of(label, box):
    end = np.clip(label.anchor, box[0], box[1])
    away = end - label.anchor
    length = np.linalg.norm(away)
    start = label.anchor + away * min(1.0, label.clearance / max(length, 1e-9))
    return np.array([start, end])


def meet(a, segments):
    """Number of segments that cross segment `a` between its ends."""
    if not len(segments):
        return 0

    def side(p, q, r):
        return (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])

    s, e = segments[:, 0], segments[:, 1]
    return int(np.sum((side(a[0], a[1], s) * side(a[0], a[1], e) < 0) & (side(s, e, a[0]) * side(s, e, a[1]) < 0)))


def place(labels, symbols, lines, bounds):
    """[(box, leader line or None)] in the order of the labels.

    symbols: [N, 2, 2] boxes that names must not cover; lines: [N, 2, 2] segments that names should not cover; bounds: a box.
    """
    grown = bounds + np.array([[2, 2], [-2, -2]])
    anchors = np.array([label.anchor for label in labels])
    crowd = [int(np.sum(np.linalg.norm(anchors - a, axis=1) < 80)) for a in anchors]
    done = [None] * len(labels)
    boxes, leaders = [], []
    for index in sorted(range(len(labels)), key=lambda i: (-crowd[i], i)):
        label = labels[index]
        best = None
        for reach in REACHES:
            if best is not None and reach >= best[0]:
                break  # the cost is never below the reach
            for angle in ANGLES:
                box = box_at(label, angle, reach)
                leader = leader_of(label, box)
                padded = box + np.array([[-2, -1], [2, 1]])
                cost = reach + min(5 * crossings(padded, lines), 25) + 2 * abs(np.sin(2 * angle))
                cost += 1000 * np.any(box[0] < grown[0]) + 1000 * np.any(box[1] > grown[1])
                if boxes:
                    cost += 500 * np.count_nonzero(overlap(padded, np.array(boxes)))
                if len(symbols):
                    cost += 120 * np.count_nonzero(overlap(padded, symbols))
                cost += 300 * crossings(padded, np.array(leaders).reshape(-1, 2, 2))
                if reach >= LEADER_FROM:
                    cost += 6 + 60 * meet(leader, np.array(leaders).reshape(-1, 2, 2))
                    cost += 200 * sum(crossings(other, leader[None]) for other in boxes)
                if best is None or cost < best[0]:
                    best = (cost, box, leader if reach >= LEADER_FROM else None)
        _, box, leader = best
        boxes.append(box)
        if leader is not None:
            leaders.append(leader)
        done[index] = (box, leader)
    return done
