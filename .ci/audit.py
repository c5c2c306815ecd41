"""Judges what pip-audit found: `pip-audit --path … --format json | audit.py`.

pip-audit counts a package it could learn nothing of as clean. Where the list of known faults
cannot be reached that would be all of them. So what was not looked at is said, and only a fault found fails.
"""

import json
import sys


def main() -> int:
    """Prints what was found and what was not looked at; 1 where a fault is known."""
    told = sys.stdin.read()
    found = json.loads(told)["dependencies"] if told.strip() else []
    looked_at = [package for package in found if "vulns" in package]
    faulty = [package for package in looked_at if package["vulns"]]
    for package in faulty:
        for fault in package["vulns"]:
            mended = ", ".join(fault["fix_versions"]) or "no release yet"
            print(f"audit: {package['name']} {package['version']}: {fault['id']}, mended in {mended}")
    counted = f"{len(looked_at)} looked at, {len(found) - len(looked_at)} not"
    print(f"audit: of {len(found)} packages {counted}; {len(faulty)} with a known fault")
    if not looked_at:
        print("audit: the list of known faults cannot be reached from here: NOTHING was checked")
    return 1 if faulty else 0


if __name__ == "__main__":
    sys.exit(main())
