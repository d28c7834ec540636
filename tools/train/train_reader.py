"""The two number networks: upright crop 48 x 96 -> the digits in it, if it holds an upright number."""
import json
import os

import numpy as np
import torch
import torch.nn.functional as F

from augment import coarse, shaded, softened, thickened
from calibrate import cross_check
from clock import Clock, autocast, base_options, copies, save_weights, setup, started, step_of
from data import scene_stems
from export import export_net
from nets import NETS
from number_codes import CODES
from reader_data import (H, W, coloured, crop_files, cut_again, from_files, from_scenes, grey,
                         inexact, normalised)

NONE = (0, 10, 10, 10, 10)
BAR = 0.995  # trust bar at which the figures are told
BEND_PX = 1.5  # of the reader's picture, in which digits are 28 px high


def turns(crops, pick, share):
    """Quarter turns: `share` of the crops stand another way than upright, except those that would
    be numbers that way too."""
    turn = torch.zeros(len(pick), dtype=torch.long, device=pick.device)
    chance = torch.rand(len(pick), device=pick.device)
    turn[chance < share], turn[chance < share * 0.6], turn[chance < share * 0.3] = 2, 1, 3
    turn[(turn == 2) & crops.turnable[pick]] = 0
    turn[(turn % 2 == 1) & crops.sideways[pick]] = 0
    return turn


def bars(x, y, length_px, share):
    """Something upright covers a third or more of some texts: no number can be read then."""
    b = len(x)
    r = lambda: torch.rand(b, 1, 1, 1, device=x.device)
    hit = (r() < share) & (length_px > 0).view(-1, 1, 1, 1)
    span = length_px.view(-1, 1, 1, 1).clamp(min=14)
    wide = span * (0.35 + 0.45 * r())
    start = W / 2 + torch.where(r() < 0.5, -span * 0.55, span * 0.55 - wide)
    column = torch.arange(W, device=x.device, dtype=torch.float32).view(1, 1, 1, -1)
    across = (column - start) / wide
    # A rod: a tone that is lighter in its middle, or a flat strap.
    tone = r() + (0.5 - (across - 0.5).abs()) * (r() - 0.3)
    inside = hit & (across > 0) & (across < 1)
    x = torch.where(inside, tone.clamp(0, 1).expand_as(x), x)
    none = torch.tensor(NONE, device=x.device)
    return x, torch.where(hit.view(-1, 1), none, y)


def spoilt(x):
    """Light, sharpness and noise as photos have them."""
    x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.15, 1 - x, x)
    x = softened(coarse(shaded(thickened(x))))
    # Noise by the contrast of the crop: a faint number stays readable.
    strength = torch.rand(len(x), 1, 1, 1, device=x.device) ** 2 * 0.9
    return x + torch.randn_like(x) * strength * x.std((2, 3), keepdim=True).clamp(max=0.08)


def batch_of(crops, pick, name, train, framings=None, turn=None):
    """Pictures, codes (what is no upright number has length 0) and how the pictures lie on their
    numbers (NaN where there is none, or where a drawn crop doesn't say)."""
    turn = turns(crops, pick, 0.25 if train else 0.15) if turn is None else turn
    framings = framings or inexact(len(pick), 1.0 if train else 0.6, turn.device)
    x = cut_again(crops, pick, turn.float(), framings, BEND_PX if train else 0.0)
    x = (coloured if name == "places" else grey)(x, train)
    y = torch.where(turn.view(-1, 1) > 0, torch.tensor(NONE, device=x.device), crops.codes[pick])
    if train:
        x, y = bars(x, y, crops.length_px[pick] * (turn == 0), 0.06)
        x = spoilt(x)
    known = (y[:, :1] > 0) & (crops.pixels.shape[2] > H)
    return normalised(x), y, torch.where(known, framings.told(), float("nan"))


def loss_of(name, out, y, told):
    """What is lost by wrong digits, and for the places network by a wrong framing."""
    loss = CODES[name][0](out, y)
    if name != "places" or not (known := told.isfinite()).any():
        return loss
    return loss + 0.3 * F.smooth_l1_loss(out[:, 49:][known], told[known], beta=0.3)


def train(net, name, sources, args, device):
    """A batch holds crops of every source in equal parts."""
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=0.02)
    clock = Clock(args.minutes, optimizer, args.peak)
    while clock.tick():
        share = args.batch // len(sources)
        parts = [batch_of(s, torch.randint(0, len(s), (share,), device=device), name, True)
                 for s in sources]
        x, y, told = (torch.cat(p) for p in zip(*parts))
        with autocast(device):
            out = net(x.contiguous(memory_format=torch.channels_last))
        loss = step_of(net, optimizer, loss_of(name, out.float(), y, told))
        if clock.steps % 100 == 0:
            print(name, clock.steps, round(loss.item(), 4), flush=True)
        if clock.save_due() and copies()[0] == 0:
            save_weights(net, os.path.join(args.out, name + ".pt"))
    return clock.steps


def answers(net, name, crops, rounds):
    """Outputs and codes of every crop, cut `rounds` times, at the first look and where a network
    that tells the framing looks again."""
    looks, codes = [], []
    with torch.no_grad():
        for k in range(0, len(crops) * rounds, 512):
            pick = torch.arange(k, min(k + 512, len(crops) * rounds),
                                device=crops.codes.device) % len(crops)
            turn, framings = turns(crops, pick, 0.15), inexact(len(pick), 0.6, crops.codes.device)
            x, y, _ = batch_of(crops, pick, name, False, framings, turn)
            out = net(x).float()
            again = out
            if name == "places":
                better = framings.corrected(out[:, 49:])
                again = net(batch_of(crops, pick, name, False, better, turn)[0]).float()
            looks.append(torch.stack([out, again]))
            codes.append(y)
    return torch.cat(looks, 1), torch.cat(codes)


def best_temperature(name, out, y):
    grid = [0.6 * 1.06 ** k for k in range(30)]
    return min(grid, key=lambda t: CODES[name][0](out / t, y).item())


def figures_of(name, out, y, temperature):
    """Right readings by true length, and [score, right] of all crops read as a number."""
    codes, score = CODES[name][1](out, temperature)
    length, right = codes[:, 0], (codes == y).all(1)
    by_length = {str(k): {"n": int((y[:, 0] == k).sum()),
                          "right": round(right[y[:, 0] == k].float().mean().item(), 4)}
                 for k in range(5) if (y[:, 0] == k).any()}
    stated = length > 0
    pairs = list(zip(score[stated].tolist(), right[stated].tolist()))
    return {"by_true_length": by_length, "stated": len(pairs),
            "stated_right": round(sum(r for _, r in pairs) / max(1, len(pairs)), 4)}, pairs


def measure(net, name, held):
    """Temperature, and figures of every source of held-out crops at that temperature."""
    found = {source: answers(net, name, crops, 2) for source, crops in held.items()}
    looks, codes = zip(*found.values())
    temperature = best_temperature(name, torch.cat([k[0] for k in looks]), torch.cat(codes))
    figures = {"temperature": round(temperature, 4)}
    for source, ((out, again), y) in found.items():
        figures[source], pairs = figures_of(name, out, y, temperature)
        figures[source]["reliability"] = cross_check(pairs, BAR)
        if name == "places":
            figures[source]["stated_right_at_the_second_look"] = figures_of(
                name, again, y, temperature)[0]["stated_right"]
    return figures


def options():
    args = base_options(1024, "crops")  # folder, pattern or names parted by commas; "-" for none
    args.add_argument("--net", choices=sorted(CODES), default="reader")
    args.add_argument("--limit", type=int, default=400000, help="crops of each source")
    return args.parse_args()


def sources_of(args, held_out, device, rng):
    limit = args.limit // 4 if held_out else args.limit
    part, parts = copies()
    stems = scene_stems(args.scenes, "val_" if held_out else "")
    if not held_out:
        stems = stems[part::parts]
    found = {"scenes": from_scenes(stems, device, rng, limit),
             "drawn": from_files(crop_files(args.crops, held_out), device, limit)}
    return {k: v for k, v in found.items() if v is not None}


def main():
    args = options()
    device = setup(13)
    rng = np.random.default_rng(13 + 1000 * copies()[0])
    held = sources_of(args, True, device, rng)
    sources = sources_of(args, False, device, rng) if args.minutes else {}
    counts = {k: len(v) for k, v in sources.items()}
    print("reader crops", counts, {k: len(v) for k, v in held.items()}, flush=True)
    some = next(iter((sources or held).values()))
    first = batch_of(some, torch.arange(64, device=device) % len(some),
                     args.net, True)[0]
    name = args.net
    net = started(NETS[name][0](), name, args, device, first)
    steps = train(net, name, list(sources.values()), args, device)
    if copies()[0] > 0:
        return  # the first copy measures and exports
    save_weights(net, os.path.join(args.out, name + ".pt"))
    export_net(name, args.out)
    net.eval()
    figures = {"steps": steps, "batch": args.batch, "training_crops": counts,
               **measure(net, name, held)}
    json.dump(figures, open(os.path.join(args.out, name + ".figures.json"), "w"), indent=1)
    print(name, figures, flush=True)


if __name__ == "__main__":
    main()
