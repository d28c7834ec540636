import random
import struct
import zlib


def png(seed):
    """A picture of noise, some 120 kB: it does not shrink, so it takes some writing."""
    size, noise = 200, random.Random(seed)
    rows = b"".join(b"\0" + noise.randbytes(3 * size) for _ in range(size))
    chunk = lambda kind, data: struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    head = struct.pack(">IIBBBBB", size, size, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows, 1)) + chunk(b"IEND", b"")
