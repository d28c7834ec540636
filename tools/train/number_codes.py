"""What the outputs of the two number networks say, and what is lost when it is wrong. Codes of a text
are its length and four digits (10 = none)."""
import torch
import torch.nn.functional as F


def columns_of(out):
    """Logits of the columns, T x B x 11 as the loss wants them."""
    b, _, _, cells = out.shape
    return out.view(b, 2, 11, cells).permute(3, 1, 0, 2).reshape(2 * cells, b, 11)


def losses_of(logits, y):
    """Minus the logarithm of the probability of each text y (length, digits, 10 = none)."""
    steps = torch.full((len(y),), len(logits), dtype=torch.long)
    return F.ctc_loss(logits.log_softmax(2), (y[:, 1:] + 1).clamp(max=10), steps, y[:, 0],
                      reduction="none")


def column_loss(out, y):
    return losses_of(columns_of(out), y).mean()


def read_columns(out, temperature):
    """Codes of the most probable columns' text, and the probability of that text."""
    logits = columns_of(out) / temperature
    best = logits.argmax(2).t()  # B x T
    new = torch.cat([best[:, :1] > 0, (best[:, 1:] > 0) & (best[:, 1:] != best[:, :-1])], 1)
    place, length = new.long().cumsum(1), new.sum(1).clamp(max=4)
    codes = torch.full((len(best), 5), 10, dtype=torch.long, device=out.device)
    codes[:, 0] = length
    for k in range(4):
        at = new & (place == k + 1)
        codes[:, k + 1] = torch.where(at.any(1), (best * at).sum(1) - 1, codes[:, k + 1])
    return codes, torch.exp(-losses_of(logits, codes))


def place_loss(out, y):
    loss = F.cross_entropy(out[:, :5], y[:, 0])
    for i in range(4):
        loss = loss + F.cross_entropy(out[:, 5 + 11 * i:16 + 11 * i], y[:, 1 + i])
    return loss


def read_places(out, temperature):
    """Codes of the most probable length and of the most probable digit at each place within it,
    and the product of their probabilities."""
    out = out / temperature
    score, length = out[:, :5].softmax(1).max(1)
    codes = torch.full((len(out), 5), 10, dtype=torch.long, device=out.device)
    codes[:, 0] = length
    for i in range(4):
        p, digit = out[:, 5 + 11 * i:16 + 11 * i].softmax(1)[:, :10].max(1)
        used = length > i
        score = torch.where(used, score * p, score)
        codes[:, i + 1] = torch.where(used, digit, codes[:, i + 1])
    return codes, score


# name: loss, reading
CODES = {"reader": (column_loss, read_columns), "places": (place_loss, read_places)}
