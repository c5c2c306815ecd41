#!/usr/bin/env bash
# Installs Naupliad on a Raspberry Pi, brings it up to date, or takes it away again. Asks nothing.
set -euo pipefail

usage() {
    cat <<'END'
usage: sudo systemd/install.sh [--wheel FILE] [--page WHERE] [--dry-run] [--root DIR]
       sudo systemd/install.sh --remove [--purge] [--dry-run] [--root DIR]

Without options: installs this checkout, or brings what is installed up to it. May be run again at any time.
In an unpacked bundle: installs the wheels in it, and asks the network for nothing.
A station file that is there is never changed.

  --wheel FILE  install this wheel instead of the checkout
  --page WHERE  who may come to the page while there is no station file: loopback (this machine only, as it is
                at first) or lan (private addresses of the network too); then [page] of the file says it
  --remove      take the program and its service away; store, backups and station file stay
  --purge       with --remove: take those away too, and the account; this cannot be undone
  --dry-run     say what would be done, and change nothing
  --root DIR    put the files under DIR, for a trial: no account, no service, nothing started

exit code: 0 done, 1 something went wrong, 2 wrong use
END
}

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
checkout=$(dirname "$here")
example=$checkout/docs/reference/station.example.toml
source_of_program=$checkout extras=''
# In an unpacked bundle (.ci/bundle makes it) lie all wheels, and what machine they are for.
wheels=$checkout/wheels
root='' dry_run=no remove=no purge=no page=''

wrong_use() {
    printf 'install.sh: %s\n' "$1" >&2
    exit 2
}

fail() {
    printf 'install.sh: %s\n' "$1" >&2
    exit 1
}

# Does a command, or only says so.
run() {
    if [[ $dry_run == yes ]]; then
        printf 'would run: %s\n' "$*"
    else
        "$@"
    fi
}

# What was done; a dry run did nothing.
say() {
    [[ $dry_run == yes ]] || printf '%s\n' "$1"
}

# A command that speaks to the running machine, which a trial under --root must not.
run_on_machine() {
    if [[ -n $root ]]; then
        printf 'left out under --root: %s\n' "$*"
    else
        run "$@"
    fi
}

# NAME IN THIS FOLDER, PLACE
files=(
    'naupliad.sysusers.conf /etc/sysusers.d/naupliad.conf'
    'naupliad.tmpfiles.conf /etc/tmpfiles.d/naupliad.conf'
    '90-naupliad-w1.rules /etc/udev/rules.d/90-naupliad-w1.rules'
    'naupliad.service /etc/systemd/system/naupliad.service'
    'naupliad-backup.service /etc/systemd/system/naupliad-backup.service'
    'naupliad-backup.timer /etc/systemd/system/naupliad-backup.timer'
    'naupliad-page.service /etc/systemd/system/naupliad-page.service'
    'naupliad-page.socket /etc/systemd/system/naupliad-page.socket'
)
program=/opt/naupliad
command_link=/usr/local/bin/naupliad
station_file=/etc/naupliad/station.toml
# Where the daemon keeps it, who alone may write there. Relative, so that under --root it leads to nowhere else.
kept_file=../../var/lib/naupliad/station.toml
page_listens=/etc/systemd/system/naupliad-page.socket.d/10-station.conf
page_first=/etc/systemd/system/naupliad-page.service.d/10-first.conf

is_bundle() {
    [[ -f $wheels/made-for ]]
}

# Before anything is changed: does this machine fit what was packed, and is it whole?
check_bundle() {
    local machine pythons found spoiled
    read -r machine pythons <"$wheels/made-for"
    found=$(python3 -c 'import platform, sys
print("%d.%d" % sys.version_info[:2], platform.machine() if sys.maxsize > 2**32 else "a 32-bit system")')
    [[ " $pythons " == *" ${found%% *} "* && ${found#* } == "$machine" ]] ||
        fail "found Python ${found/ / on }; this bundle is for Python ${pythons// / or } on $machine"
    spoiled=$(cd "$checkout" && sha256sum --check --quiet SHA256SUMS 2>/dev/null) ||
        fail "found ${spoiled%%:*} not as it was packed: copy and unpack the bundle again"
}

check_machine() {
    [[ -n $root || $dry_run == yes || $EUID -eq 0 ]] || fail 'must be run as root: put sudo before it'
    [[ $remove == no ]] || return 0
    command -v python3 >/dev/null || fail 'found no python3: sudo apt install python3-venv'
    python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' || fail 'found a python3 older than 3.11'
    if is_bundle; then
        check_bundle
    else
        python3 -c 'import ensurepip' 2>/dev/null || fail 'found no venv module: sudo apt install python3-venv'
    fi
    local link=$root$command_link
    [[ ! -e $link && ! -L $link || -L $link && $(readlink "$link") == "$program/bin/naupliad" ]] ||
        fail "$link: found something else of that name; move it away first"
}

put_file() {
    local from=$1 to=$root$2
    if cmp -s "$from" "$to"; then
        printf 'as it was: %s\n' "$to"
        return
    fi
    run install -D -m 644 "$from" "$to"
    say "put: $to"
}

# Whether its folder of packages is that of the Python it runs. An update of the system may have taken that
# Python away, or put a newer one in its place under the same name.
program_is_alive() {
    "$root$program/bin/python" -I -c '
import sys
from pathlib import Path
library = Path(sys.prefix, "lib", "python%d.%d" % sys.version_info[:2], "site-packages", "pip")
sys.exit(sys.prefix == sys.base_prefix or not library.is_dir())' 2>/dev/null
}

make_environment() {
    local bare=(python3 -m venv --clear --system-site-packages) pip
    if is_bundle; then
        # The wheel of pip runs as it lies there, so that neither python3-venv nor python3-pip is asked for.
        pip=$(printf '%s\n' "$wheels"/pip-*.whl | head -n 1)
        run "${bare[@]}" --without-pip "$root$program"
        run "$root$program/bin/python" "$pip/pip" install --quiet --no-index --ignore-installed "$pip"
    else
        run "${bare[@]}" "$root$program"
    fi
}

put_program() {
    local pip=("$root$program/bin/pip" install --quiet --disable-pip-version-check)
    if is_bundle; then
        pip+=(--no-index --find-links "$wheels")
    fi
    program_is_alive || make_environment
    run "${pip[@]}" "$source_of_program$extras"
    if [[ $source_of_program == *.whl ]]; then
        # pip takes a wheel of the version that is there for the very one that is there.
        run "${pip[@]}" --force-reinstall --no-deps --no-index "$source_of_program"
    fi
    run mkdir -p "$root${command_link%/*}"
    run ln -sfn "$program/bin/naupliad" "$root$command_link"
    say "put: $root$program"
}

put_station_file() {
    local file=$root$station_file
    if [[ -e $file || -L $file ]]; then
        printf 'as it was: %s\n' "$file"
    else
        run mkdir -p "${file%/*}"
        run ln -s "$kept_file" "$file"
        say "put: $file"
    fi
}

# Who may come to the page before a station file says it: as told now, else as told before.
put_first() {
    local settings
    case $page in
        lan)
            settings=$(mktemp)
            printf '[Service]\nEnvironment=NAUPLIAD_PAGE_FIRST=lan\n' >"$settings"
            put_file "$settings" "$page_first"
            rm "$settings"
            ;;
        loopback) take_away_settings "$page_first" ;;
    esac
    if [[ -n $page && -s $root$station_file ]]; then
        printf '%s is there: not --page but [page] in it says who may come\n' "$root$station_file"
    fi
}

first_told() {
    if [[ $page == lan || ($page != loopback && -e $root$page_first) ]]; then
        printf lan
    fi
}

# Settings that this installer put beside a unit; somebody's own beside it stay.
take_away_settings() {
    run rm -f "$root$1"
    run rmdir "$root${1%/*}" 2>/dev/null || true
}

# Where the page listens, as the station file has it; a file that is no good changes nothing.
put_listening() {
    local told
    if [[ -n $root || $dry_run == yes ]]; then
        run_on_machine "$program/bin/naupliad" page socket --config "$station_file"
    elif told=$(NAUPLIAD_PAGE_FIRST=$(first_told) \
        "$program/bin/naupliad" page socket --config "$station_file"); then
        if [[ $told == *'[Socket]'* ]]; then
            mkdir -p "${page_listens%/*}"
            printf '%s\n' "$told" >"$page_listens"
        else
            rm -f "$page_listens"
        fi
    fi
}

# An installer before this one put the example there.
is_example() {
    cmp -s "$example" "$root$station_file"
}

start_all() {
    run_on_machine systemctl enable --now naupliad-backup.timer
    run_on_machine systemctl enable naupliad.service
    run_on_machine systemctl restart naupliad.service
    # systemd moves no socket whose service runs.
    run_on_machine systemctl stop naupliad-page.socket naupliad-page.service
    run_on_machine systemctl enable --now naupliad-page.socket
}

# What those who may come call this machine.
page_name() {
    local name
    name=$(uname -n)
    if [[ -n $(first_told) ]]; then
        printf '%s.local' "${name%%.*}"
    else
        printf 127.0.0.1
    fi
}

say_what_comes_next() {
    local file=$root$station_file
    if is_example; then
        printf '%s is the example still: tell it what stands on your shelf, and run this again\n' "$file"
        printf '%s may also be removed: then run this again, and the page can write it\n' "$file"
    elif [[ ! -s $file ]]; then
        printf '%s holds nothing yet. To let the page write it: sudo naupliad page pin, then open %s\n' \
            "$file" "http://$(page_name):8077"
        [[ -n $(first_told) ]] ||
            printf '%s can be written from a phone too: sudo systemd/install.sh --page lan\n' "$file"
    fi
}

install_all() {
    put_program
    local line
    for line in "${files[@]}"; do
        put_file "$here/${line% *}" "${line#* }"
    done
    put_station_file
    run_on_machine systemd-sysusers naupliad.conf
    run_on_machine systemd-tmpfiles --create naupliad.conf
    run_on_machine udevadm control --reload
    run_on_machine udevadm trigger --subsystem-match=w1 --action=add
    put_first
    put_listening
    run_on_machine systemctl daemon-reload
    is_example || start_all
    say_what_comes_next
}

account_is_there() {
    [[ -z $root && $dry_run == no ]] && getent passwd "$1" >/dev/null
}

remove_account() {
    run_on_machine userdel "$1" || true  # none there: none to remove
    # A group that has other members outlives its account.
    run_on_machine groupdel "$1" 2>/dev/null || true
    ! account_is_there "$1" ||
        fail "found the account $1 still in use: see what runs (ps -u $1), end it, and do this again"
}

remove_all() {
    local unit
    for unit in naupliad-backup.timer naupliad-page.socket naupliad.service; do  # one that is not there keeps no other one running
        run_on_machine systemctl disable --now "$unit" || true
    done
    run_on_machine systemctl stop naupliad-page.service || true
    run_on_machine systemctl stop naupliad-backup.service || true  # a copy that is being made
    local line
    for line in "${files[@]}"; do
        run rm -f "$root${line#* }"
    done
    take_away_settings "$page_listens"
    take_away_settings "$page_first"
    if [[ -L $root$command_link && $(readlink "$root$command_link") == "$program/bin/naupliad" ]]; then
        run rm -f "$root$command_link"
    fi
    if [[ -f $root$program/pyvenv.cfg ]]; then
        run rm -rf "$root$program"
    fi
    # Made by systemd on the way: what matplotlib found out, and when a copy was made last.
    run rm -rf "$root/var/cache/naupliad" "$root/var/lib/systemd/timers/stamp-naupliad-backup.timer"
    run_on_machine systemctl daemon-reload
    run_on_machine systemctl reset-failed naupliad.service naupliad-backup.service naupliad-page.service 2>/dev/null || true
    run_on_machine udevadm control --reload
    if [[ ! -e $root$station_file && $(readlink "$root$station_file") == "$kept_file" ]]; then
        run rm -f "$root$station_file"  # it led to nothing yet
        run rmdir "$root${station_file%/*}" 2>/dev/null || true
    fi
    if [[ $purge == yes ]]; then
        run rm -rf "$root/var/lib/naupliad" "$root/var/lib/naupliad-page" "$root/etc/naupliad"
        run rm -rf "$root"/etc/systemd/system/naupliad{,-backup,-page}.{service,socket,timer}.d
        run rmdir "$root/mnt/naupliad-backup" 2>/dev/null || true  # a stick's files are nobody's to remove
        remove_account naupliad-page
        remove_account naupliad
        say 'removed, with store, backups and station file'
    else
        say "removed; kept: $root/var/lib/naupliad, $root/var/lib/naupliad-page and $root/etc/naupliad"
    fi
}

if is_bundle; then
    source_of_program=$(printf '%s\n' "$wheels"/naupliad-*.whl | head -n 1) extras='[mqtt]'
fi
while (($#)); do
    case $1 in
        --wheel)
            [[ -f ${2-} && $2 == *.whl ]] || wrong_use "--wheel: found '${2-}'; allowed: a wheel, FILE.whl"
            source_of_program=$(realpath "$2") extras=''
            shift
            ;;
        --root)
            [[ -d ${2-} && $(realpath "$2") != / ]] || wrong_use "--root: found '${2-}'; allowed: a folder, not /"
            root=$(realpath "$2")
            shift
            ;;
        --page)
            [[ ${2-} == loopback || ${2-} == lan ]] || wrong_use "--page: found '${2-}'; allowed: loopback, lan"
            page=$2
            shift
            ;;
        --dry-run) dry_run=yes ;;
        --remove) remove=yes ;;
        --purge) purge=yes ;;
        -h | --help)
            usage
            exit 0
            ;;
        *) wrong_use "found '$1'; allowed: --wheel, --page, --remove, --purge, --dry-run, --root, --help" ;;
    esac
    shift
done
[[ $purge == no || $remove == yes ]] || wrong_use '--purge: allowed together with --remove only'
[[ -z $page || $remove == no ]] || wrong_use '--page: not allowed together with --remove'

check_machine
if [[ $remove == yes ]]; then
    remove_all
else
    install_all
fi
