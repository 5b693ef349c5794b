"""How large a workbook may be inside before it is refused; every limit can be set.

The defaults leave room for a book of half a million recipes and keep the reader below a gigabyte.
"""

from dataclasses import dataclass, fields, replace

from sheetcheck.errors import SettingError
from sheetcheck.settings import Settings
from sheetcheck.words import tr


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Limits on what is read from one file."""

    seconds: int = 30  # of a processor, about: what one audit may take (work.py)
    file_bytes: int = 512 << 20  # the file as it lies on the disk
    parts: int = 10_000  # entries of the package
    part_bytes: int = 1 << 30  # one part, inflated
    package_bytes: int = 2 << 30  # all parts together, inflated
    part_ratio: int = 250  # inflated to deflated; only asked of parts past `part_ratio_from`
    part_ratio_from: int = 8 << 20
    package_ratio_from: int = 64 << 20
    tree_bytes: int = 32 << 20  # a part that is held in memory as a whole (workbook, styles, notes)
    sheets: int = 2_000
    rows: int = 1_048_576  # of one sheet, and the last row number there may be
    columns: int = 16_384
    cells: int = 12_000_000  # that hold something, of all sheets together
    text_characters: int = 60_000_000  # of all texts and formulas together
    shared_strings: int = 2_000_000
    styles: int = 65_536
    merges: int = 200_000  # of one sheet
    notes: int = 100_000  # of one sheet
    table_bytes: int = 64 << 20  # a table kept as text


DEFAULT_LIMITS = Limits()


def file_limits(settings: Settings | None) -> Limits:
    """Return the limits with those of the user's settings laid over them.

    Raises
    ------
    SettingError
        A limit is not known, or is no whole number above 0.
    """
    wanted = settings.file_limits if settings is not None else {}
    known = {field.name for field in fields(Limits)}
    for name, value in wanted.items():
        if name not in known:
            raise SettingError(
                f"file_limits.{name}", tr("is not a limit. Known: {known}", known=", ".join(sorted(known)))
            )
        if not isinstance(value, int) or value <= 0:
            raise SettingError(f"file_limits.{name}", tr("{value} should be a whole number above 0", value=repr(value)))
    return replace(DEFAULT_LIMITS, **wanted)
