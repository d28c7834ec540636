"""Face network: rectified side at 1.25 px/mm -> seams, ends, cover, writing, vents, signs."""
import json
import os

import numpy as np
import torch
import torch.nn.functional as F

from augment import tinted
from clock import Clock, autocast, base_options, save_weights, setup, started, step_of
from data import Scenes, fill, scene_stems, within
from export import export_net
from face_windows import COVER, LENGTH, SEAM, TEXT, VENT, make
from measure_face import measure
from nets import Face

SIZES = ((384, 384), (512, 288), (288, 512))
STORED = 1150  # px, longer edge of the photos kept: finer than a window shows
BLOBS = {"text": (slice(TEXT, TEXT + 4), 4.0), "vent": (slice(VENT, VENT + 1), 3.0),
         "sign": (slice(VENT + 1, VENT + 3), 4.0)}


def focal(logit, label, ignore):
    """Sparse peaks (Law and Deng, CornerNet, 2018, equation 1; from memory): exact centres are
    positive, the slopes of their blobs count less the nearer they are."""
    p = torch.sigmoid(logit)
    at = (label >= 0.999).float()
    near = at * (1 - p) ** 2 * F.softplus(-logit)
    away = (1 - at) * (1 - ignore) * (1 - label) ** 4 * p ** 2 * F.softplus(logit)
    return (near + away).sum() / at.sum().clamp(min=1)


def loss_of(out, label, ignore):
    lines = F.binary_cross_entropy_with_logits(out[:, SEAM:COVER], label[:, SEAM:COVER],
                                               reduction="none")
    # Per unit of ridge, less what no network could save (the entropy of the soft labels).
    y = label[:, SEAM:COVER].clamp(1e-4, 1 - 1e-4)
    floor = -(y * y.log() + (1 - y) * (1 - y).log())
    keep = 1 - ignore[:, SEAM:COVER]
    ridges = ((lines - floor) * keep).sum((0, 2, 3)) / (y * keep).sum((0, 2, 3)).clamp(min=100)
    cover = F.binary_cross_entropy_with_logits(out[:, COVER], label[:, COVER])
    total = 2 * ridges.sum() + 1.5 * cover
    for planes, weight in BLOBS.values():
        total = total + weight * focal(out[:, planes], label[:, planes], ignore[:, planes])
    sizes = slice(LENGTH, LENGTH + 2)
    valid = (label[:, sizes] > 0).float()
    error = (torch.sigmoid(out[:, sizes]) - label[:, sizes]).abs() * valid
    return total + 5 * error.sum() / valid.sum().clamp(min=1)


def options():
    args = base_options(64)
    args.add_argument("--gigabytes", type=float, default=40, help="of photos on the device")
    args.add_argument("--held", type=int, default=200, help="scenes to measure on")
    args.add_argument("--small", action="store_true", help="small windows, to try the code")
    return args.parse_args()


def train(net, data, args, device, rng):
    scenes, photos, covers = data
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=0.01)
    clock = Clock(args.minutes, optimizer, args.peak)
    usable = np.nonzero(scenes.stack)[0]
    sizes = ((256, 192), (192, 256)) if args.small else SIZES
    while clock.tick():
        at = rng.choice(usable, args.batch)
        size = sizes[clock.steps % len(sizes)]
        image, label, ignore = make(scenes, photos, covers, at, size, rng)
        with autocast(device):
            out = net(tinted(image).contiguous(memory_format=torch.channels_last))
        loss = step_of(net, optimizer, loss_of(out.float(), label, ignore))
        if clock.steps % 50 == 0:
            print("face", clock.steps, round(loss.item(), 4), flush=True)
        if clock.save_due():
            save_weights(net, os.path.join(args.out, "face.pt"))
    return clock.steps


def main():
    args = options()
    device, rng = setup(12), np.random.default_rng(12)
    stems = within(scene_stems(args.scenes, ""), args.gigabytes, STORED)
    scenes, held = Scenes(stems, device), Scenes(scene_stems(args.scenes, "val_"), device)
    photos, covers = fill(scenes, device, STORED, 2, cover=True)
    print("face scenes", len(scenes), len(held), flush=True)
    first = make(scenes, photos, covers, np.nonzero(scenes.stack)[0][:16], SIZES[0], rng)[0]
    net = started(Face(), "face", args, device, first)
    steps = train(net, (scenes, photos, covers), args, device, rng)
    save_weights(net, os.path.join(args.out, "face.pt"))
    export_net("face", args.out)
    del photos, covers
    net.eval()
    figures = measure(net, held, *fill(held, device, STORED, 2, cover=True), args.held)
    figures = {"steps": steps, "batch": args.batch, "training_scenes": len(scenes), **figures}
    json.dump(figures, open(os.path.join(args.out, "face.figures.json"), "w"), indent=1)
    print("face", figures, flush=True)


if __name__ == "__main__":
    main()
