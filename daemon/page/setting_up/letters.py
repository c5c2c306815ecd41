"""The step of the letters: by mail or as files, when they go, and a sample of one."""

from werkzeug.datastructures import MultiDict

from daemon.page.deeds.asking import NotDone, told
from daemon.page.setting_up import typed
from daemon.page.setting_up.hours_rows import HoursRow, daily_rows, faults_by_place
from daemon.page.setting_up.under_way import UnderWay, standing_file
from reports.page.setting_up import fields as words
from reports.page.setting_up import letters as said

_USUAL_QUIET = "20:00-07:00"
_USUAL = {"security": "tls", "nightly_at": "20:00", "morning_at": "07:15"}
_LISTS = ("to", "backup_to")
_NOBODY = "password: found no mail server that it is for; allowed: once server and addresses are right"


def shown(at: UnderWay, language: str, faults: list[tuple[str, str]]) -> dict[str, object]:
    """What the step's template is given."""
    table = at.text.table("post")
    by_mail = any(name in table for name in words.SERVER)
    own = {path.removeprefix("post."): line for path, line in faults}
    own.update({path.partition("[")[0]: line for path, line in own.items() if "[" in path})
    said_of = table if by_mail else {**table, **at.mail_aside}
    names = (*words.SERVER, *words.WHEN)
    values = {name: typed.shown(said_of.get(name, _USUAL.get(name))) for name in names}
    values["nightly"] = "" if table.get("nightly") is False else "yes"
    quiet = table.get("quiet", _USUAL_QUIET)
    rows = daily_rows([quiet] if quiet else [], faults_by_place(faults, "post.quiet"))
    return {
        "by_mail": by_mail,
        "server": words.fields(language, words.SERVER, values, own if by_mail else {}),
        "when": words.fields(language, words.WHEN, values, own, usual=_USUAL),
        "quiet": rows[0] if quiet else HoursRow(),
        "password": _password(at, language),
        "asks_password": at.file.password != "root",  # noqa: S105 - who keeps it, not what it is
        "may_forget": at.file.password == "kept",  # noqa: S105 - as above
        "whole": [line for path, line in faults if path == "post"],
    }


def taken(at: UnderWay, form: MultiDict[str, str]) -> None:
    """What was typed goes into the text; a password never does (see `keep_password`)."""
    table = at.text.table("post")
    values: dict[str, typed.Value] = dict.fromkeys(words.SERVER)
    if form.get("by") == "mail":
        values = {name: typed.line(text) for name, text in typed.fields_of(form, *words.SERVER).items()}
        values["smtp_port"] = typed.whole(form.get("smtp_port", ""))
        values.update({name: typed.lines(form.get(name, "")) or None for name in _LISTS})
        # What must be given is asked for beside its field.
        values.update({"smtp_host": values["smtp_host"] or "", "from": values["from"] or ""})
        values["to"] = typed.lines(form.get("to", ""))
    elif told := {name: table[name] for name in words.SERVER if name in table}:
        at.mail_aside = told  # who comes back to mail finds it again
    values["nightly"] = bool(form.get("nightly"))
    values.update({name: typed.line(form.get(name, "")) for name in ("nightly_at", "morning_at")})
    begins, ends = (form.get(f"quiet-{end}-1", "").strip() for end in ("from", "to"))
    values["quiet"] = f"{begins}-{ends}" if begins or ends else ""
    usual = {**_USUAL, "nightly": True, "quiet": _USUAL_QUIET}
    at.text.put(
        "post",
        {
            name: None if name not in table and usual.get(name) == value else value
            for name, value in values.items()
        },
    )
    if not at.text.table("post"):
        at.text.drop("post")


def sent(at: UnderWay, form: MultiDict[str, str], language: str) -> dict[str, object]:
    """A password that was typed is kept, and a sample letter goes where the form asks for one.

    What is to be said of it: lines under "sampled" of the letter that went, under "unkept" or "unsent" why
    not; nothing where nothing is to be said. Raises NotDone where no daemon answers.
    """
    became = "unkept"
    try:
        if form.get("by") == "mail" and (password := form.get("password", "")):
            _keep_password(at, password)
        if form.get("forget"):
            told(at.state, {"ask": "keep-password", "password": ""})
            at.file = standing_file(at.state)
        became = "unsent"
        if not form.get("sample"):
            return {}
        if at.faults:
            return {became: [f"{path}: {line}" if path else line for path, line in at.faults]}
        ways = told(at.state, {"ask": "sample-letter", "text": at.text.text})["ways"]
    except NotDone as fault:
        if fault.why:
            raise
        return {became: list(fault.faults)}
    went = [(one["way"], one["delivered"], one["account"]) for one in ways]
    return {"sampled": said.sample_lines(language, went)}


def _keep_password(at: UnderWay, password: str) -> None:
    """Have the daemon keep it for the text's mail server, and for no other."""
    server = at.mail_server
    if server is None:
        raise NotDone("", _NOBODY)
    told(at.state, {"ask": "keep-password", **server, "password": password})
    if at.file.watching:
        told(at.state, {"ask": "post", "letters": []})  # what waited for it goes now
    at.file = standing_file(at.state)


def _password(at: UnderWay, language: str) -> str:
    """Whether one is kept for the account that the text names."""
    asked, kept_for = at.mail_server or {}, at.file.password_for
    its = [one for one in kept_for if all(asked.get(name) == value for name, value in one.items())]
    accounts = "; ".join(f"{one['user']}, {one['host']}" for one in its or kept_for)
    return said.password_line(language, at.file.password, accounts, is_its=bool(its))
