"""The Pi's pins, through gpiozero and lgpio. Nothing is imported before the first pin is asked for."""

import atexit
import importlib
import os
from collections.abc import Callable
from typing import Any

from sensors.errors import KeyFault, NotFitted, WrongKeys

_FACTORY = "GPIOZERO_PIN_FACTORY"
_INSTALL = "Run sudo apt install python3-lgpio, and make the environment with --system-site-packages."
_ALLOW = "Run Naupliad on a Pi, with its user in the group gpio: sudo usermod -aG gpio naupliad."


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


def header_pins(probe: str) -> Any:
    """The pin factory of the Pi's header. Raises NotFitted where there is no GPIO to be had."""
    library = gpiozero(probe)
    # Named, so that gpiozero does not fall back to what reads wrongly on current kernels.
    os.environ.setdefault(_FACTORY, "lgpio")
    if "LG_WD" not in os.environ:
        os.environ["LG_WD"] = _pipe_folder()
    try:
        library.Device.ensure_pin_factory()
    except library.BadPinFactory as error:  # an ImportError too
        remedy = f"Take {_FACTORY} out of Naupliad's environment."
        raise NotFitted(probe, f"no GPIO pins ({error})", remedy) from error
    except ImportError as error:
        raise NotFitted(probe, f"the library lgpio cannot be loaded ({error})", _INSTALL) from error
    except Exception as error:  # lgpio.error and PinUnknownPi have no base in common but this
        raise NotFitted(probe, f"no GPIO pins ({error})", _ALLOW) from error
    return library.Device.pin_factory


def claimed(probe: str, pin: int, make: Callable[[], Any]) -> Any:
    """The device that `make` puts on a pin. Raises WrongKeys for a pin that is taken or not there."""
    library = gpiozero(probe)
    try:
        return make()
    except (library.GPIOPinInUse, library.PinInvalidPin) as error:
        raise WrongKeys(probe, KeyFault("pin", pin, f"a free GPIO pin ({error})")) from error
    except Exception as error:
        raise NotFitted(probe, f"pin {pin} cannot be used ({error})", _ALLOW) from error


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
