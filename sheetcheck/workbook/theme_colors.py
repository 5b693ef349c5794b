"""Colours of a workbook's theme as plain colours: a program that saves it may put another theme in its place."""

from __future__ import annotations

import colorsys
import zlib
from contextlib import suppress

from lxml import etree

from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.package_edit import PackageEdit

# A cell's colour counts the theme's colours in this order (ECMA-376-1, 18.8.3; light before dark as the programs do).
_ORDER = (
    "lt1",
    "dk1",
    "lt2",
    "dk2",
    "accent1",
    "accent2",
    "accent3",
    "accent4",
    "accent5",
    "accent6",
    "hlink",
    "folHlink",
)


class Theme:
    """The theme of a workbook that is being edited."""

    def __init__(self, edit: PackageEdit) -> None:
        part = edit.related(edit.source.workbook_part, "theme")
        data = edit.read(part) if part else b""
        self.digest = f"{zlib.crc32(data):08X}"
        self._colors: list[str] = []
        with suppress(safe_xml.BrokenXmlError, safe_xml.RefusedXmlError):  # then its colours cannot be known
            self._colors = _colors(safe_xml.tree(data)) if data else []

    def plain(self, fill: str) -> str:
        """Return the XML of a fill with the theme's colours written out."""
        if not fill or "theme" not in fill:
            return fill
        root = safe_xml.tree(fill.encode())
        for color in root.iter("{*}fgColor", "{*}bgColor", "{*}color"):
            number = color.get("theme", "")
            if number.isdigit() and int(number) < len(self._colors) and self._colors[int(number)]:
                rgb = _tinted(self._colors[int(number)], float(color.attrib.pop("tint", "0")))
                del color.attrib["theme"]
                color.set("rgb", f"FF{rgb}")
        return etree.tostring(root).decode()


def _colors(theme: etree._Element) -> list[str]:
    scheme = theme.find(".//{*}clrScheme")
    found = []
    for name in _ORDER:
        holder = scheme.find(f"{{*}}{name}") if scheme is not None else None
        color = holder[0] if holder is not None and len(holder) else None
        value = (color.get("lastClr") or color.get("val") or "") if color is not None else ""
        found.append(value.upper() if len(value) == 6 else "")
    return found


def _tinted(rgb: str, tint: float) -> str:
    """Return a colour made lighter or darker (ECMA-376-1, 18.8.19: the luminance is scaled)."""
    red, green, blue = (int(rgb[i : i + 2], 16) / 255 for i in (0, 2, 4))
    hue, light, saturation = colorsys.rgb_to_hls(red, green, blue)
    light = light * (1 + tint) if tint < 0 else light * (1 - tint) + tint
    return "".join(
        f"{round(channel * 255):02X}" for channel in colorsys.hls_to_rgb(hue, min(max(light, 0), 1), saturation)
    )
