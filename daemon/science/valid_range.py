"""The one way in which a formula refuses what lies outside its range."""


class OutOfRange(ValueError):
    """A formula was asked for something outside the range it is known for.

    Carries `what`, the `value` found and the limits `low` and `high` in `unit`; the message says all.
    """

    def __init__(self, what: str, value: float, low: float, high: float, unit: str) -> None:
        gap = f" {unit}" if unit else ""
        ends = f"{written_out(low)} to {written_out(high)}"
        super().__init__(f"{what} is {written_out(value)}{gap}; allowed is {ends}{gap}")
        self.what = what
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit


def written_out(value: float) -> str:
    """A number with six figures at most, large ones without an exponent: `1000000`, `0.02`, `1e-06`."""
    if 1e6 <= abs(value) < 1e15:
        return f"{float(f'{value:.6g}'):.0f}"
    return f"{value:g}"


def within(what: str, value: float, low: float, high: float, unit: str = "") -> float:
    """`value`, when it lies between `low` and `high` (both allowed), in `unit`.

    Raises OutOfRange otherwise; NaN lies in no range.
    """
    if low <= value <= high:
        return value
    raise OutOfRange(what, value, low, high, unit)
