"""The report page: figures, plots, every error with its picture, and what changed against another run."""
import html
import os

from crops import slot_picture
from figures import paired
from outcomes import MARKS, kind_of_error
from plots import detection_plot, reliability_plot, stagger_plot, time_plot
from summary import table_of

STYLE = """body{font:15px/1.45 sans-serif;max-width:70em;margin:2em auto;padding:0 1em;color:#222}
table{border-collapse:collapse;margin:.6em 0}td,th{padding:.25em .8em;border-bottom:1px solid #ddd;text-align:left;
vertical-align:top}figure{display:inline-block;margin:.5em 1em .5em 0}img{max-width:100%}.slot{margin:.5em 0}
.slot img{display:block}h2{margin-top:1.6em}.worse{color:#b3541e}"""
MOST = 200  # pictures of wrong readings; the table names all


def cell(x):
    return f"<td>{html.escape(str(x))}</td>"


def table(head, rows):
    body = "".join("<tr>" + "".join(map(cell, row)) + "</tr>" for row in rows)
    return "<table><tr>" + "".join(f"<th>{html.escape(h)}</th>" for h in head) + f"</tr>{body}</table>"


def verdicts(photos):
    kinds = ("pass", "fix", "retake")
    rows = [[expect, *(sum(p["expect"] == expect and p["verdict"] == got for p in photos) for got in (*kinds, None))]
            for expect in kinds]
    return table(["asked for", *kinds, "broken"], rows)


def link(photo, out):
    picture = os.path.relpath(os.path.join(photo["out"], "report.html"), out)
    return f'<a href="{html.escape(picture)}">{html.escape(photo["name"])}</a>'


def error_list(photos, out):
    found = []
    for kind in ("broken", "escape", "false alarm", "needless retake"):
        names = [link(p, out) + (": " + html.escape(p["broken"]) if p.get("broken") else "")
                 for p in photos if kind_of_error(p) == kind]
        found.append(f"<h3>{kind}: {len(names)}</h3><p>{', '.join(names) or 'none'}</p>")
    return "".join(found)


def picture_of(photo, slot, words, out):
    """A line with the slot's picture under it; the file is named after the photo and the slot."""
    path = os.path.join("crops", f"{photo['name'].replace(os.sep, '-')}-{slot}.png")
    slot_picture(photo["truth_file"], slot, os.path.join(out, path))
    return (f'<div class="slot">{html.escape(photo["name"])}, slot {slot}{html.escape(words)}'
            f'<img src="{html.escape(path)}" alt="the slot"></div>')


def seen_errors(rows, out):
    """Every wrong reading, and the faulty slots of every escape, each with its picture."""
    photos = {p["name"]: p for p in rows["photos"]}
    escaped = [p for p in rows["photos"] if kind_of_error(p) == "escape"]
    wrong = [m for m in rows["marks"] if m["outcome"] == "wrong"]
    os.makedirs(os.path.join(out, "crops"), exist_ok=True)
    parts = [picture_of(p, slot, " of an escape", out) for p in escaped for slot in p["faulty"]]
    parts.append(f"<h2>Wrong readings: {len(wrong)}</h2>")
    for m in wrong[:MOST]:
        words = f', {m["kind"]}: read {m["got"]} at {m["confidence"]:.4f}, is {m["truth"]}'
        parts.append(picture_of(photos[m["name"]], m["slot"], words, out))
    return "".join(parts)


def changes(rows, other):
    """Photos and readings of both runs, paired."""
    before = {p["name"]: p for p in other["photos"]}
    both = [(before[p["name"]], p) for p in rows["photos"] if p["name"] in before]
    fair = lambda p: kind_of_error(p) is None
    lines = [["fair verdicts", len(both), *paired([fair(a) for a, _ in both], [fair(b) for _, b in both])]]
    key = lambda m: (m["name"], m["slot"], m["kind"])
    old = {key(m): m["outcome"] == "right" for m in other["marks"]}
    for kind in MARKS:
        pairs = [(old[key(m)], m["outcome"] == "right") for m in rows["marks"] if m["kind"] == kind and key(m) in old]
        if pairs:
            lines.append([f"{kind}s right", len(pairs), *paired(*zip(*pairs))])
    moved = [[a["name"], a["expect"], a["verdict"], b["verdict"]] for a, b in both if a["verdict"] != b["verdict"]]
    lines = [[*line[:-1], f"{line[-1]:.3f}"] for line in lines]
    return ("<h2>Against the other run</h2>" + table(["", "pairs", "gained", "lost", "as uneven by chance"], lines) +
            table(["photo", "asked for", "before", "now"], moved))


def write_page(rows, out, title, other=None):
    photos, marks, slots, stacks = rows["photos"], rows["marks"], rows["slots"], rows.get("stacks")
    plots = [reliability_plot(marks, out), stagger_plot(slots, out), detection_plot(photos, slots, out),
             time_plot(photos, out)]
    figures = "".join(f'<figure><img src="{p}" alt="{p[:-4]}"></figure>' for p in plots if p)
    body = [f"<h1>{html.escape(title)}</h1>", table(["figure", "value"], table_of(rows)), "<h2>Verdicts</h2>",
            verdicts(photos), error_list(photos, out),
            f"<h2>Whole stacks</h2>{verdicts(stacks)}{error_list(stacks, out)}" if stacks else "", figures, changes(rows, other) if other else "",
            seen_errors(rows, out)]
    with open(os.path.join(out, "index.html"), "w") as f:
        f.write(f"<!doctype html><html lang=en><meta charset=utf-8><title>{html.escape(title)}</title>"
                f"<style>{STYLE}</style>{''.join(body)}</html>\n")
