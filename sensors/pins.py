"""The Pi's pins, through gpiozero and lgpio. Nothing is imported before the first pin is asked for."""

import atexit
import importlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sensors.errors import KeyFault, NotFitted, WrongKeys

_FACTORY = "GPIOZERO_PIN_FACTORY"
_INSTALL = "Run sudo apt install python3-lgpio, and make the environment with --system-site-packages."
_ALLOW = "Its user needs the group gpio: sudo usermod -aG gpio naupliad; sudo systemctl restart naupliad."
_NO_PI = "Pins are there on a Raspberry Pi only; naupliad checkup opens the same chip."
_HELD = "Run naupliad checkup; if all is well there, another program holds the pin, or a line of config.txt."


def gpiozero(probe: str) -> Any:
    """The library. Raises NotFitted where it is not installed."""
    try:
        return importlib.import_module("gpiozero")
    except ImportError as error:
        raise NotFitted(
            probe,
            f"the library gpiozero cannot be loaded ({error})",
            "Install it into Naupliad's environment: pip install gpiozero.",
        ) from error


def pin_factory_name() -> str:
    """Which of gpiozero's pin factories is used: lgpio unless the environment names another."""
    return os.environ.get(_FACTORY, "lgpio").lower()


def header_pins(probe: str, dev: Path = Path("/dev")) -> Any:
    """The pin factory of the Pi's header. Raises NotFitted where there is no GPIO to be had."""
    device = gpiozero(probe).Device
    # Named, so that gpiozero itself never falls back to what reads wrongly on current kernels.
    os.environ.setdefault(_FACTORY, "lgpio")
    if "LG_WD" not in os.environ:
        os.environ["LG_WD"] = _pipe_folder()
    if device.pin_factory is None:
        device.pin_factory = _by_lgpio(probe, dev) if pin_factory_name() == "lgpio" else _named(probe)
    return device.pin_factory


def _by_lgpio(probe: str, dev: Path) -> Any:
    """Made here, and not by gpiozero: it takes chip 4 or 0, which need not be the header's."""
    from sensors.gpio_chips import header_chip  # a station without pins does not need it

    try:
        factory = importlib.import_module("gpiozero.pins.lgpio").LGPIOFactory
    except ImportError as error:
        raise NotFitted(probe, f"the library lgpio cannot be loaded ({error})", _INSTALL) from error
    try:
        pins = factory(chip=header_chip(probe, dev).number)
        try:
            pins.board_info  # noqa: B018 - raises where this is no Pi it knows, before a pin is asked for
        except Exception:
            pins.close()
            raise
    except NotFitted:
        raise
    except PermissionError as error:
        raise NotFitted(probe, f"no GPIO pins ({error})", _ALLOW) from error
    except Exception as error:  # lgpio.error has no base but this
        raise NotFitted(probe, f"no GPIO pins ({error})", _NO_PI) from error
    return pins


def _named(probe: str) -> Any:
    """The factory that the environment names. No other is fallen back to: some read wrongly here."""
    device = gpiozero(probe).Device
    try:
        device.ensure_pin_factory()
    except Exception as error:  # BadPinFactory, and whatever that library raises
        remedy = f"Take {_FACTORY} out of Naupliad's environment."
        raise NotFitted(probe, f"no GPIO pins ({error})", remedy) from error
    return device.pin_factory


def claimed(probe: str, pin: int, make: Callable[[], Any]) -> Any:
    """The device that `make` puts on a pin. Raises WrongKeys for a pin that is taken or not there."""
    library = gpiozero(probe)
    try:
        return make()
    except (library.GPIOPinInUse, library.PinInvalidPin) as error:
        raise WrongKeys(probe, KeyFault("pin", pin, f"a free GPIO pin ({error})")) from error
    except Exception as error:
        raise NotFitted(probe, f"pin {pin} cannot be used ({error})", _HELD) from error


def _pipe_folder() -> str:
    """Where lgpio may leave its named pipe; left alone it takes the working folder, often not writable."""
    runtime = os.environ.get("RUNTIME_DIRECTORY")  # systemd's; several are joined by colons
    if runtime:
        return runtime.split(":")[0]
    import shutil  # both with all their packers, and only where the pins are loaded
    import tempfile

    folder = tempfile.mkdtemp(prefix="naupliad-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder
