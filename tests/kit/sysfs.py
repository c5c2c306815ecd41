"""Folders laid out as the kernel does: 1-Wire, IIO and hwmon devices on disk, for real drivers to read."""

from pathlib import Path


def crc8(data: bytes) -> int:
    """The 1-Wire check sum, x⁸ + x⁵ + x⁴ + 1 (the data sheet's application note 27)."""
    crc = 0
    for byte in data:
        for bit in range(8):
            mix = (crc ^ (byte >> bit)) & 1
            crc = (crc >> 1) ^ (0x8C if mix else 0)
    return crc


def slave_text(count: int, *, byte_6: int = 0x0C, crc_good: bool = True) -> str:
    """What the kernel's w1_slave shows for a scratchpad that holds `count` sixteenths of a °C."""
    scratchpad = (count & 0xFFFF).to_bytes(2, "little") + bytes([0x4B, 0x46, 0x7F, 0xFF, byte_6, 0x10])
    crc = crc8(scratchpad)
    shown = " ".join(f"{byte:02x}" for byte in (*scratchpad, crc))
    verdict = "YES" if crc_good else "NO"
    return f"{shown} : crc={crc:02x} {verdict}\n{shown} t={count * 1000 // 16}\n"


def lay(folder: Path, **files: str) -> Path:
    """A device's folder with its attributes, a file each."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder / name).write_text(text + "\n")
    return folder


def attach(devices: Path, address: str, water_c: float, **attributes: str) -> Path:
    """A DS18B20 on the bus (which is made with it), and what its w1_slave shows; °C is cut to sixteenths."""
    (devices / "w1_bus_master1").mkdir(parents=True, exist_ok=True)
    folder = lay(devices / address, **attributes)
    (folder / "w1_slave").write_text(slave_text(round(water_c * 16)))
    return folder
