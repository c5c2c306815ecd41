#!/usr/bin/env bash
# Run by test_install_undone.py as root, in namespaces of its own: undone.sh FOLDER, with bundle/ and state/ in it.
# Prints what is seen after each step under a line `== STEP`.
set -euo pipefail
folder=$1 layer=$1/layer
mkdir "$layer"
mount -t tmpfs none "$layer"
mkdir "$layer"/{upper,work,root}
mount -t overlay none -o "lowerdir=/,upperdir=$layer/upper,workdir=$layer/work" "$layer/root" || {
    echo 'no layer here' >&2
    exit 3
}
mount -t proc none "$layer/root/proc"
mount --rbind /dev "$layer/root/dev"
mkdir -p "$layer/root/trial"
cp -a "$folder/bundle" "$folder/state" "$layer/root/trial"

# No system runs in the layer: what would start and stop units is only noted, what links them is done.
cat >"$layer/root/usr/local/bin/systemctl" <<'END'
#!/usr/bin/env bash
echo "$*" >>/trial/asked
words=()
for word; do [[ $word == --now ]] || words+=("$word"); done
[[ $1 != enable && $1 != disable ]] || exec /usr/bin/systemctl --quiet "${words[@]}"
END
printf '#!/bin/sh\n' >"$layer/root/usr/local/bin/udevadm"
chmod 755 "$layer"/root/usr/local/bin/{systemctl,udevadm}

cat >"$layer/root/trial/steps" <<'END'
set -euo pipefail
install() { /trial/bundle/systemd/install.sh "$@" >/trial/said 2>&1; }
asked() { cat /trial/asked; rm /trial/asked; }
accounts() { cat /etc/passwd /etc/group /etc/shadow /etc/gshadow | grep -v -E '^(gpio|spi):' || true; }
export PATH=/usr/local/bin:/usr/local/sbin:$PATH:/usr/sbin
useradd heron
accounts >/trial/before

echo '== installed'
mkdir -p /etc/naupliad
echo 'mine = 1' >/etc/naupliad/station.toml
install || cat /trial/said
asked
id -nG naupliad
id -nG naupliad-page

# A week: what people and systemd left on the way, by hands that knew no modes.
cp -r /trial/state/. /var/lib/naupliad/
chown -R root:root /var/lib/naupliad
chmod -R u=rwX,go=rX /var/lib/naupliad
usermod -aG naupliad heron
mkdir -p /var/cache/naupliad/matplotlib /var/lib/systemd/timers
touch /var/cache/naupliad/matplotlib/fontlist.json /var/lib/systemd/timers/stamp-naupliad-backup.timer
for unit in naupliad.service naupliad-backup.service naupliad-backup.timer; do
    mkdir -p "/etc/systemd/system/$unit.d"
    touch "/etc/systemd/system/$unit.d/override.conf"
done
(umask 077 && echo hush >/etc/naupliad/smtp-password)
echo '== updated, not the account alone'
install || cat /trial/said
stat -c '%n %U %a' /var/lib/naupliad-page
find /var/lib/naupliad \( ! -user naupliad -o ! -group naupliad -o -perm /o=rwx \) -print
echo '== removed'
rm -f /trial/asked
(cd /var/lib/naupliad && find . -type f -print0 | sort -z | xargs -0 sha256sum) >/trial/sums
install --remove || cat /trial/said
asked
(cd /var/lib/naupliad && sha256sum --quiet --check /trial/sums)
find /etc /mnt /opt /run /usr/local /var/cache /var/lib -name '*naupliad*' -prune | sort
id -un naupliad
echo '== installed again'
install || cat /trial/said
(cd /var/lib/naupliad && sha256sum --quiet --check /trial/sums)
/usr/local/bin/naupliad
echo '== purged while something runs'
setpriv --reuid naupliad --regid naupliad --clear-groups sleep 1000 &
until [[ $(stat -c %U /proc/$!) == naupliad ]]; do sleep 0.1; done
install --remove --purge || echo "ended with $?"
tail -n 1 /trial/said
kill $!
wait $! 2>/dev/null || true
echo '== purged'
install --remove --purge || cat /trial/said
tail -n 1 /trial/said
diff /trial/before <(accounts) || true
END
chroot "$layer/root" bash /trial/steps

echo '== left'
cd "$layer/upper"
find . ! -type d ! -path './trial/*' ! -path './usr/local/bin/systemctl' ! -path './usr/local/bin/udevadm' | sort
find . -type d ! -path './trial*' ! -exec test -e '/{}' \; -print | sort
