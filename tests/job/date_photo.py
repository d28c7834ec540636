#!/usr/bin/env python3
"""A JPEG with a time of capture: EXIF 2.3 (CIPA DC-008), tag 0x9003 DateTimeOriginal, before all else in the file.

    date_photo.py PHOTO.jpg OUT.jpg "2020:01:31 08:00:00"
"""
import struct
import sys
from pathlib import Path

photo, out, time = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3].encode() + b"\0"
tiff = b"II*\0" + struct.pack("<I", 8)                      # little-endian, first directory at 8
tiff += struct.pack("<HHHIII", 1, 0x8769, 4, 1, 26, 0)      # its one entry: the EXIF directory at 26
tiff += struct.pack("<HHHIII", 1, 0x9003, 2, len(time), 44, 0) + time
exif = b"Exif\0\0" + tiff
jpeg = photo.read_bytes()
out.write_bytes(jpeg[:2] + b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif + jpeg[2:])
