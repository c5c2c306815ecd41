"""Which formulae no command uses yet, and what each of them waits for."""

from tests.kit.imports import modules, steps

# Child processes of their own, started from the modules themselves.
_STARTED = (
    *("daemon.cli", "daemon.letters.night_child", "daemon.store.made_ahead"),
    "reports.chart.child_process",
)

# Science that no command reaches. A row goes when something reaches its module; a module for which nothing is
# planned goes itself.
WAITING = {
    "cup_heat_balance": "planning a start: a cup's warmth by lamp and room before it has been read",
}


def test_the_science_that_no_command_reaches_is_what_something_planned_waits_for() -> None:
    commands = [module for module in modules() if module.startswith(_STARTED)]
    reached = steps(commands)
    science = {module for module in modules() if module.startswith("daemon.science.")}
    assert {module.rpartition(".")[2] for module in science - reached.keys()} == WAITING.keys()


def test_every_other_module_of_the_house_is_reached_by_a_command() -> None:
    reached = steps([module for module in modules() if module.startswith(_STARTED)])
    ours = {module for module in modules() if not module.startswith(("tests", "daemon.science."))}
    packages = {module for module, path in modules().items() if path.name == "__init__.py"}
    assert ours - packages - reached.keys() == {"daemon.__main__"}, "python -m daemon is the command itself"
