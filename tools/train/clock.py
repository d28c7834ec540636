"""Training by the clock: the rate of learning follows the share of the time that is spent."""
import math
import time


class Clock:
    def __init__(self, minutes, optimizer, peak):
        self.start, self.seconds, self.optimizer, self.peak = time.time(), minutes * 60, optimizer, peak

    def tick(self):
        """Sets the rate; False when the time is over."""
        spent = (time.time() - self.start) / self.seconds
        if spent >= 1:
            return False
        rate = self.peak * (min(1, spent / 0.05) * 0.5 * (1 + math.cos(math.pi * spent)) + 1e-3)
        for group in self.optimizer.param_groups:
            group["lr"] = rate
        return True
