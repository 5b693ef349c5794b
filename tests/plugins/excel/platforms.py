"""xlwings' own engines for Windows and macOS, imported on Linux.

They are Python over pywin32 and appscript, neither of which exists here, so stand-ins are put in their places. Nothing
here reaches Excel: a test asks whether the engines have what the plugin calls, or runs the code of the engine for
Windows over the objects of `com_stand_in`.
"""

import atexit
import ctypes
import datetime as dt
import importlib
import sys
import types
from typing import Any


class Anything:
    """Takes any attribute, call or item."""

    def __init__(self, name: str) -> None:
        self.__dict__["_name"] = name

    def __getattr__(self, name: str) -> "Anything":
        if name.startswith("__") and name.endswith("__"):
            raise AttributeError(name)
        return Anything(f"{self._name}.{name}")

    def __call__(self, *_: Any, **__: Any) -> "Anything":
        return Anything(f"{self._name}()")

    def __getitem__(self, _: Any) -> "Anything":
        return Anything(f"{self._name}[]")

    def __or__(self, _: Any) -> "Anything":
        return self

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Anything) and other._name == self._name

    def __hash__(self) -> int:
        return hash(self._name)


class com_error(Exception):  # noqa: N801, N818 - pywin32's own name
    pass


def _module(name: str, **members: Any) -> types.ModuleType:
    made = types.ModuleType(name)
    anything = Anything(name)
    made.__getattr__ = lambda member: getattr(anything, member)  # type: ignore[method-assign]  # stands in for any module
    for member, value in members.items():
        setattr(made, member, value)
    sys.modules[name] = made
    parent, _, child = name.rpartition(".")
    if parent:
        setattr(sys.modules[parent], child, made)
    return made


def windows() -> Any:
    """xlwings' engine for Windows."""

    class TimeType(dt.datetime):
        pass

    for name in ("windll", "oledll", "WinDLL"):
        if not hasattr(ctypes, name):
            setattr(ctypes, name, Anything(name))
    if not hasattr(ctypes, "WINFUNCTYPE"):
        ctypes.WINFUNCTYPE = lambda *_, **__: lambda *_, **__: Anything("function")
    _module("pywintypes", com_error=com_error, TimeType=TimeType, IID=Anything("IID"))
    _module("pythoncom", com_error=com_error, ole_error=com_error).__file__ = "pythoncom.dll"
    _module("win32api")
    _module("win32con", MB_OK=0, MB_OKCANCEL=1, MB_YESNOCANCEL=3, MB_YESNO=4, MB_ICONINFORMATION=64, MB_ICONWARNING=48)
    _module("win32com")
    bases = {name: type(name, (), {}) for name in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass")}
    _module("win32com.client", **bases, Dispatch=lambda given: given, DispatchEx=lambda given: given)
    for name in ("win32gui", "win32process", "winerror"):
        _module(name)
    _module("win32timezone", TimeZoneInfo=Anything("TimeZoneInfo"))
    loader = ctypes.PyDLL
    pointer = types.SimpleNamespace(PyCom_PyObjectFromIUnknown=types.SimpleNamespace(restype=None))
    ctypes.PyDLL = lambda *_, **__: pointer
    try:
        return _without_cleanup(importlib.import_module("xlwings._xlwindows"))
    finally:
        ctypes.PyDLL = loader


def mac() -> Any:
    """xlwings' engine for macOS."""

    class Keywords:
        def __getattr__(self, name: str) -> Anything:
            return Anything(f"k.{name}")

    _module("aem")
    reference = types.ModuleType("appscript.reference")
    reference.CommandError = type("CommandError", (Exception,), {})
    reference.Reference = type("Reference", (), {})
    _module("appscript", its=Anything("its"), k=Keywords(), mactypes=Anything("mactypes"), reference=reference)
    sys.modules["appscript.reference"] = reference
    _module("osax")
    _module("psutil")
    return _without_cleanup(importlib.import_module("xlwings._xlmac"))


def _without_cleanup(engine: Any) -> Any:
    atexit.unregister(engine.cleanup)  # it would look for an Excel to end
    return engine
