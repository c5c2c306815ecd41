#!/usr/bin/env bash
# Installs a bundle for aarch64 with the very Python of a Debian, emulated, without a network, and looks whether it
# works: tests/bench/bundle_on_arm.sh .ci/dist/naupliad-0.1.0-aarch64.tar [bookworm|trixie] [FOLDER]
# Needs root, Debian and its package qemu-user-static; takes 1 min for bookworm and far longer for trixie. Debian's
# packages come from the mirror that this machine's apt uses, into FOLDER; nothing is installed on the machine.
set -euo pipefail

bundle=$(realpath "$1") suite=${2:-bookworm} folder=${3:-$(mktemp -d)}
emulator=${EMULATOR:-$(command -v qemu-aarch64-static)}
# shellcheck disable=SC2016  # apt fills it in
mirror=$(apt-get indextargets --format '$(SITE)' 'Created-By: Packages' 'Component: main' | sort | uniq -c | sort -rn |
    awk 'NR == 1 {print $2}')
mkdir -p "$folder"/{lists,archives}/partial "$folder/root"
touch "$folder/status"
echo "deb [arch=arm64 signed-by=/usr/share/keyrings/debian-archive-keyring.gpg] $mirror $suite main" >"$folder/list"
apt=(
    apt-get -qq -o Dir::Etc::sourcelist="$folder/list" -o Dir::Etc::sourceparts=/dev/null
    -o Dir::State::lists="$folder/lists" -o Dir::State::status="$folder/status" -o Dir::Cache="$folder"
    -o Dir::Cache::archives="$folder/archives" -o APT::Architecture=arm64 -o APT::Architectures::=arm64
    -o APT::Install-Recommends=false -o Debug::NoLocking=1 -o APT::Sandbox::User=root
)
"${apt[@]}" update
# A system without python3-venv and python3-pip: the bundle must do without.
"${apt[@]}" --yes --download-only install python3 libstdc++6 libc-bin coreutils tzdata
for package in "$folder"/archives/*.deb; do
    dpkg --extract "$package" "$folder/root"
done
cp "$emulator" "$folder/root/emulator"
mkdir -p "$folder"/root/{bundle,dev,proc,tmp}
tar --extract --file "$bundle" --directory "$folder/root/bundle" --strip-components=1

# The installer's own steps, for an emulated program cannot be started by one that is not.
# shellcheck disable=SC2016  # the inner shell knows $1
unshare --mount --net --pid --fork --kill-child bash -euc '
mount -t proc none "$1/proc"
mount --rbind /dev "$1/dev"
on_arm() { env -i PATH=/usr/sbin:/usr/bin:/bin HOME=/tmp chroot "$1" /emulator "${@:2}"; }
python=/opt/naupliad/bin/python wheels=("$1"/bundle/wheels/{pip,naupliad}-*.whl)
pip=/bundle/wheels/${wheels[0]##*/} program=/bundle/wheels/${wheels[1]##*/}
on_arm "$1" "/usr/bin/$(readlink "$1/usr/bin/python3")" -m venv --clear --without-pip /opt/naupliad
on_arm "$1" $python "$pip/pip" install --quiet --no-compile --no-index --ignore-installed "$pip"
on_arm "$1" $python -m pip install --quiet --no-compile --no-index --find-links /bundle/wheels "${program}[mqtt]"
on_arm "$1" $python -m pip check
on_arm "$1" $python /opt/naupliad/bin/naupliad --version
on_arm "$1" $python -c "
import platform, matplotlib, numpy, PIL, paho.mqtt, gpiozero
import matplotlib.figure
matplotlib.figure.Figure().savefig(\"/tmp/chart.png\")
print(platform.machine(), platform.python_version(), \"numpy\", numpy.__version__, \"draws\")"
' on-arm "$folder/root"
