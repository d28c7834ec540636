"""Number reader: upright crop 48 x 96 -> the digits in it, if it holds an upright number."""
import json
import os

import numpy as np
import torch
import torch.nn.functional as F

from augment import coarse, shaded, softened
from calibrate import cross_check, table
from clock import Clock, autocast, base_options, save_weights, setup, started, step_of
from data import scene_stems
from export import export_net
from nets import Reader
from reader_data import W, crop_files, cut_again, from_files, from_scenes, grey, normalised

NONE = (0, 10, 10, 10, 10)
BAR = 0.995  # trust bar at which the figures are told


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


def batch_of(crops, pick, train):
    """Pictures and codes; what is no upright number has length 0."""
    turn = turns(crops, pick, 0.25 if train else 0.15)
    x = grey(cut_again(crops, pick, turn.float(), 1.0 if train else 0.4), train)
    y = torch.where(turn.view(-1, 1) > 0, torch.tensor(NONE, device=x.device), crops.codes[pick])
    if train:
        x, y = bars(x, y, crops.length_px[pick] * (turn == 0), 0.06)
        x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.15, 1 - x, x)
        x = softened(coarse(shaded(x)))
        # Noise by the contrast of the crop: a faint number stays readable.
        strength = torch.rand(len(x), 1, 1, 1, device=x.device) ** 2 * 0.9
        x = x + torch.randn_like(x) * strength * x.std((2, 3), keepdim=True).clamp(max=0.08)
    return normalised(x), y


def columns(out):
    """Logits of the columns, T x B x 11 as the loss wants them."""
    b, _, _, cells = out.shape
    return out.view(b, 2, 11, cells).permute(3, 1, 0, 2).reshape(2 * cells, b, 11)


def losses_of(logits, y):
    """Minus the logarithm of the probability of each text y (length, digits, 10 = none)."""
    steps = torch.full((len(y),), len(logits), dtype=torch.long)
    return F.ctc_loss(logits.log_softmax(2), (y[:, 1:] + 1).clamp(max=10), steps, y[:, 0],
                      reduction="none")


def loss_of(out, y):
    return losses_of(columns(out), y).mean()


def read(out, temperature):
    """Codes of the most probable columns' text, and the probability of that text."""
    logits = columns(out) / temperature
    best = logits.argmax(2).t()  # B x T
    new = torch.cat([best[:, :1] > 0, (best[:, 1:] > 0) & (best[:, 1:] != best[:, :-1])], 1)
    place, length = new.long().cumsum(1), new.sum(1).clamp(max=4)
    codes = torch.full((len(best), 5), 10, dtype=torch.long, device=out.device)
    codes[:, 0] = length
    for k in range(4):
        at = new & (place == k + 1)
        codes[:, k + 1] = torch.where(at.any(1), (best * at).sum(1) - 1, codes[:, k + 1])
    return codes, torch.exp(-losses_of(logits, codes))


def train(net, sources, args, device):
    """A batch holds crops of every source in equal parts."""
    optimizer = torch.optim.AdamW(net.parameters(), 1e-3, weight_decay=0.02)
    clock = Clock(args.minutes, optimizer, args.peak)
    while clock.tick():
        parts = [batch_of(s, torch.randint(0, len(s), (args.batch // len(sources),), device=device),
                          True) for s in sources]
        x, y = torch.cat([p[0] for p in parts]), torch.cat([p[1] for p in parts])
        with autocast(device):
            out = net(x.contiguous(memory_format=torch.channels_last))
        loss = step_of(net, optimizer, loss_of(out.float(), y))
        if clock.steps % 100 == 0:
            print("reader", clock.steps, round(loss.item(), 4), flush=True)
        if clock.save_due():
            save_weights(net, os.path.join(args.out, "reader.pt"))
    return clock.steps


def answers(net, crops, rounds):
    """Outputs and codes of every crop, cut `rounds` times."""
    outs, codes = [], []
    with torch.no_grad():
        for k in range(0, len(crops) * rounds, 512):
            pick = torch.arange(k, min(k + 512, len(crops) * rounds),
                                device=crops.codes.device) % len(crops)
            x, y = batch_of(crops, pick, False)
            outs.append(net(x).float())
            codes.append(y)
    return torch.cat(outs), torch.cat(codes)


def best_temperature(out, y):
    grid = [0.6 * 1.06 ** k for k in range(30)]
    return min(grid, key=lambda t: loss_of(out / t, y).item())


def figures_of(out, y, temperature):
    """Right readings by true length, and [score, right] of all crops read as a number."""
    codes, score = read(out, temperature)
    length, right = codes[:, 0], (codes == y).all(1)
    by_length = {str(k): {"n": int((y[:, 0] == k).sum()),
                          "right": round(right[y[:, 0] == k].float().mean().item(), 4)}
                 for k in range(5) if (y[:, 0] == k).any()}
    stated = length > 0
    pairs = list(zip(score[stated].tolist(), right[stated].tolist()))
    return {"by_true_length": by_length, "stated": len(pairs),
            "stated_right": round(sum(r for _, r in pairs) / max(1, len(pairs)), 4)}, pairs


def calibrate(net, held, out_dir):
    """Temperature and table from the held-out crops; both as told by the other half of them."""
    figures, outs, codes = {}, [], []
    for name, crops in held.items():
        out, y = answers(net, crops, 2)
        outs.append(out)
        codes.append(y)
    temperature = best_temperature(torch.cat(outs), torch.cat(codes)) if outs else 1.0
    table_pairs = []
    for name, out, y in zip(held, outs, codes):
        figures[name], pairs = figures_of(out, y, temperature)
        figures[name]["reliability"] = cross_check(pairs, BAR)
        if name == "scenes" or "scenes" not in held:
            table_pairs = pairs  # what the product meets are crops of photos
    rows = table(table_pairs) if table_pairs else []
    json.dump({"temperature": round(temperature, 4), "score": "probability of the text", "table": rows},
              open(os.path.join(out_dir, "reader.calibration.json"), "w"), indent=1)
    return {"temperature": round(temperature, 4), **figures}


def options():
    args = base_options(512, "crops")  # folder, pattern or names parted by commas; "-" for none
    args.add_argument("--limit", type=int, default=100000, help="crops of each source")
    return args.parse_args()


def sources_of(args, held_out, device, rng):
    limit = args.limit // 4 if held_out else args.limit
    stems = scene_stems(args.scenes, "val_" if held_out else "")
    found = {"scenes": from_scenes(stems, device, rng, limit),
             "drawn": from_files(crop_files(args.crops, held_out), device, limit)}
    return {k: v for k, v in found.items() if v is not None}


def main():
    args = options()
    device, rng = setup(13), np.random.default_rng(13)
    sources, held = (sources_of(args, h, device, rng) for h in (False, True))
    counts = {k: len(v) for k, v in sources.items()}
    print("reader crops", counts, {k: len(v) for k, v in held.items()}, flush=True)
    first = batch_of(next(iter(sources.values())), torch.arange(256, device=device), True)[0]
    net = started(Reader(), "reader", args, device, first)
    steps = train(net, list(sources.values()), args, device)
    save_weights(net, os.path.join(args.out, "reader.pt"))
    export_net("reader", args.out)
    net.eval()
    figures = {"steps": steps, "batch": args.batch, "training_crops": counts,
               **calibrate(net, held, args.out)}
    json.dump(figures, open(os.path.join(args.out, "reader.figures.json"), "w"), indent=1)
    print("reader", figures, flush=True)


if __name__ == "__main__":
    main()
