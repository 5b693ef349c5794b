"""Number formats: the built-in ones by their number, which of them show a date, and how that date reads."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

# ISO/IEC 29500-1, 18.8.30 (numFmt); 27 to 36 and 50 to 58 are East Asian dates, for which a plain date stands.
_BUILTIN = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00",
    5: '"$"#,##0_);\\("$"#,##0\\)', 6: '"$"#,##0_);[Red]\\("$"#,##0\\)',
    7: '"$"#,##0.00_);\\("$"#,##0.00\\)', 8: '"$"#,##0.00_);[Red]\\("$"#,##0.00\\)',
    9: "0%", 10: "0.00%", 11: "0.00E+00", 12: "# ?/?", 13: "# ??/??",
    14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy",
    18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss", 22: "m/d/yy h:mm",
    37: "#,##0_);(#,##0)", 38: "#,##0_);[Red](#,##0)", 39: "#,##0.00_);(#,##0.00)", 40: "#,##0.00_);[Red](#,##0.00)",
    41: '_(* #,##0_);_(* \\(#,##0\\);_(* "-"_);_(@_)', 42: '_("$"* #,##0_);_("$"* \\(#,##0\\);_("$"* "-"_);_(@_)',
    43: '_(* #,##0.00_);_(* \\(#,##0.00\\);_(* "-"??_);_(@_)',
    44: '_("$"* #,##0.00_)_("$"* \\(#,##0.00\\)_("$"* "-"??_)_(@_)',
    45: "mm:ss", 46: "[h]:mm:ss", 47: "mmss.0", 48: "##0.0E+0", 49: "@",
    **dict.fromkeys((*range(27, 37), *range(50, 59)), "yyyy-mm-dd"),
}  # fmt: skip

# No "[" within brackets: a format of a million of them would be gone through a million times.
_NO_CODE = re.compile(r'"[^"]*"|\\.|[_*].|\[(?!(?:h+|m+|s+)\])[^\[\]]*\]|General', re.IGNORECASE)
_DATE_CODE = re.compile(r"[dmyhs]", re.IGNORECASE)
_ELAPSED = re.compile(r"\[(?:h+|m+|s+)\]", re.IGNORECASE)

_DAY = timedelta(days=1)
_EPOCH = datetime(1899, 12, 30)  # noqa: DTZ001 - a serial number has no time zone
_FALSE_LEAP_DAY = 60  # 1900-02-29, which the serial numbers count and the calendar does not
_DAYS_1904 = 1462
_LAST_SERIAL = 2_958_466  # the day after 9999-12-31


def builtin_format(identifier: int) -> str:
    """Return the number format of a built-in identifier, "General" for one that is not in the standard."""
    return _BUILTIN.get(identifier, "General")


def shows_date(number_format: str) -> bool:
    """Whether a number in this format is shown as a date or a time; its first section decides."""
    return bool(_DATE_CODE.search(_codes(number_format)))


def shows_elapsed_time(number_format: str) -> bool:
    """Whether a number in this format is shown as hours, minutes or seconds that may go past a day."""
    return bool(_ELAPSED.search(_codes(number_format)))


def iso_form(serial: float, *, elapsed: bool = False, from_1904: bool = False) -> str:
    """Return a date's serial number in ISO form: date, time of day, both, or hours gone by; "" where it is no date."""
    if elapsed:
        return _hours(serial) if abs(serial) < _LAST_SERIAL else ""
    if 0 <= serial < 1:
        return _time(serial)
    days = serial + _DAYS_1904 if from_1904 else serial
    if not 1 <= days < _LAST_SERIAL:
        return ""
    if _FALSE_LEAP_DAY <= days < _FALSE_LEAP_DAY + 1:
        return "1900-02-29"
    moment = _EPOCH + timedelta(seconds=round((days + (days < _FALSE_LEAP_DAY)) * 86_400))
    return moment.isoformat() if moment.time() != time() else moment.date().isoformat()


def serial_number(iso: str) -> float | None:
    """Return the serial number (1900 system) of a date or a time in ISO form, None where it is neither."""
    try:
        moment = datetime.fromisoformat(iso).replace(tzinfo=None)
    except ValueError:
        return _part_of_day(iso)
    days = (moment - _EPOCH) / _DAY
    return days - (days <= _FALSE_LEAP_DAY)


def _part_of_day(iso: str) -> float | None:
    try:
        moment = time.fromisoformat(iso.lstrip("T")).replace(tzinfo=None)
    except ValueError:
        return None
    return (datetime.combine(date.min, moment) - datetime.combine(date.min, time())) / _DAY


def _codes(number_format: str) -> str:
    """Return what is left of the first section without texts, escapes, padding, colours and conditions."""
    return _NO_CODE.sub("", number_format).split(";", 1)[0]


def _time(part_of_day: float) -> str:
    return _hours(part_of_day) if round(part_of_day * 86_400) < 86_400 else "23:59:59"


def _hours(days: float) -> str:
    sign, seconds = ("-" if days < 0 else ""), abs(round(days * 86_400))
    return f"{sign}{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"
