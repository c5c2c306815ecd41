"""An MCP3008 on gpiozero's mock pins."""

from gpiozero.pins.mock import MockFactory, MockSPIDevice


class Converter(MockSPIDevice):  # type: ignore[misc]  # gpiozero ships no types
    """An MCP3008 as its data sheet clocks it: start, single-ended, three channel bits; null, ten bits."""

    def __init__(self, counts: list[int], pin_factory: MockFactory, select_pin: int = 8) -> None:
        super().__init__(11, 10, 9, select_pin, pin_factory=pin_factory)
        self.select_pin.drive_high()  # not selected; gpiozero's floating pins start low
        self.counts = counts

    def on_bit(self) -> None:
        if self.rx_bit == 12:
            start, single, channel = self.rx_buf[7], self.rx_buf[8], self.rx_buf[9:12]
            assert (start, single) == (1, 1)
            self.tx_word(self.counts[int("".join(str(int(bit)) for bit in channel), 2)], 12)
