"""Pictures of single slots, turned upright, so that a person sees why."""
import json
import os

from PIL import Image, ImageOps

HEIGHT = 110


def slot_picture(truth_file, slot, path):
    """The slot's face and a third of its thickness on both sides."""
    with open(truth_file) as f:
        truth = json.load(f)
    face = next(s["face"] for s in truth["slots"] if s["slot"] == slot)
    side = lambda a, b: ((face[a][0] - face[b][0]) ** 2 + (face[a][1] - face[b][1]) ** 2) ** 0.5
    long, short = side(0, 1), side(0, 3)
    across = [(face[3][k] - face[0][k]) / 3 for k in (0, 1)]  # some of the neighbours too
    grown = [(p[0] + sign * across[0], p[1] + sign * across[1]) for p, sign in zip(face, (-1, -1, 1, 1))]
    width = max(1, min(1200, round(HEIGHT * long / (short * 5 / 3))))
    quad = [c for k in (0, 3, 2, 1) for c in grown[k]]  # as Pillow wants it: down, across, up
    with Image.open(os.path.join(os.path.dirname(truth_file), truth["file"])) as photo:
        shown = ImageOps.exif_transpose(photo).convert("RGB")
        shown.transform((width, HEIGHT), Image.QUAD, quad, Image.BICUBIC).save(path)
