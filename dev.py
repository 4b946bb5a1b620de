#!/usr/bin/env python3
"""The one script that sets up and runs everything. Standard library only.

    python3 dev.py demo               the bench on the demo panels, in your browser
    python3 dev.py test [ARGS]        every test (ARGS go to pytest; --long adds the slow ones)
    python3 dev.py check              format, lint and types
    python3 dev.py docs [PAGE...]     run the pages (or these) and write again what the program says in them
    python3 dev.py lock               write requirements.lock from pyproject.toml

Each makes `.venv` beside this file and installs what is missing, again only after
pyproject.toml or requirements.lock changed. Nothing outside this folder is touched, except that
`test` installs the system packages it needs where it may (apt, as root or with sudo that asks no
password); elsewhere it prints the line to type and stops.

Exit codes: 0 fine, 1 a test or check failed, 2 the set-up could not be done.
"""

from __future__ import print_function  # so that an old Python reaches the message about its age

import hashlib
import json
import os
import shutil
import subprocess
import sys

OLDEST_PYTHON = (3, 11)
HERE = os.path.dirname(os.path.abspath(__file__))
VENV = os.path.join(HERE, ".venv")
LOCK = os.path.join(HERE, "requirements.lock")
PYPROJECT = os.path.join(HERE, "pyproject.toml")
STAMP = os.path.join(VENV, "installed-from.txt")
PROGRAMS = {  # program the tests start: (names it goes by, Debian package)
    "a browser": (("chromium", "chromium-browser"), "chromium"),
    "a PDF reader": (("pdftotext",), "poppler-utils"),
    "a circuit solver": (("ngspice",), "ngspice"),
    "a certificate tool": (("openssl",), "openssl"),
}
EXTRAS = {"demo": (), "test": ("test",), "check": ("test", "dev")}


class CannotSetUp(Exception):
    """The set-up cannot go on; the text says why and what to type."""


def main(arguments):
    if sys.version_info < OLDEST_PYTHON:
        print(
            "Panelwright needs Python %d.%d or newer; this is Python %d.%d (%s).\n"
            "Install a newer one and start this script with it, for example: python3.11 dev.py demo"
            % (OLDEST_PYTHON + sys.version_info[:2] + (sys.executable,)),
            file=sys.stderr,
        )
        return 2
    if not arguments or arguments[0] in ("-h", "--help", "help"):
        print(__doc__)
        return 0 if arguments else 2
    command, rest = arguments[0], arguments[1:]
    commands = {"demo": demo, "test": test, "check": check, "docs": docs, "lock": lock}
    if command not in commands:
        print("dev.py knows demo, test, check, docs and lock; not %r." % command, file=sys.stderr)
        return 2
    try:
        return commands[command](rest)
    except CannotSetUp as reason:
        print(reason, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


# --- the commands -----------------------------------------------------------------------------


def demo(arguments):
    """Start the bench on the demo panels; it runs until Ctrl+C."""
    prepare(EXTRAS["demo"])
    return run(venv_python(), "-m", "panelwright", "demo", *arguments)


def test(arguments):
    """Run the tests, two at a time where there are two cores."""
    install_programs()
    prepare(EXTRAS["test"])
    long_too = "--long" in arguments
    arguments = [one for one in arguments if one != "--long"]
    options = [] if long_too else ["-m", "not long"]
    if not any(one.startswith("-n") for one in arguments) and (os.cpu_count() or 1) > 1:
        options += ["-n", "2", "--dist", "loadgroup"]
    return run(venv_python(), "-m", "pytest", *(options + arguments))


def check(arguments):
    """Format, lint and types; `--fix` mends what can be mended without thinking."""
    prepare(EXTRAS["check"])
    fix = "--fix" in arguments
    steps = [
        ["ruff", "format"] + ([] if fix else ["--check"]),
        ["ruff", "check"] + (["--fix"] if fix else []),
        ["mypy"],
    ]
    worst = 0
    for step in steps:
        say("check: " + " ".join(step))
        worst = max(worst, run(venv_python(), "-m", *(step + ([] if step[0] == "mypy" else ["."]))))
    return min(worst, 1)


def docs(arguments):
    """Write the answers, the command reference and the pictures of the documentation again."""
    prepare(EXTRAS["test"])
    return run(venv_python(), os.path.join("docs", "generate.py"), *arguments)


def lock(arguments):
    """Ask pip which versions it would take for all extras today, and write them down."""
    make_venv()
    import tomllib  # young enough to stand here: an old Python has been told so by now

    with open(PYPROJECT, "rb") as text:
        extras = tomllib.load(text)["project"]["optional-dependencies"]
    wanted = "%s[%s]" % (HERE, ",".join(extras))
    report = os.path.join(VENV, "lock-report.json")
    if run(*pip("install", "--dry-run", "--ignore-installed", "--quiet", "--report", report, "-e", wanted)):
        raise CannotSetUp("pip could not work out the versions; see its message above.")
    with open(report, encoding="utf-8") as text:
        found = json.load(text)["install"]
    pins = sorted(
        "%s==%s" % (one["metadata"]["name"].lower(), one["metadata"]["version"])
        for one in found
        if one["metadata"]["name"].lower() != "panelwright"
    )
    with open(LOCK, "w", encoding="utf-8", newline="\n") as out:
        out.write("# Tried versions of everything pyproject.toml asks for. Made by: python3 dev.py lock\n")
        out.write("\n".join(pins) + "\n")
    say("requirements.lock: %d packages" % len(pins))
    return 0


# --- set-up -----------------------------------------------------------------------------------


def prepare(extras):
    """Make the environment and install the project, unless that was done from these very files."""
    make_venv()
    have = read(STAMP).splitlines()
    wanted = fingerprint()
    if have[:1] == [wanted] and set(extras) <= set(have[1:]):
        return
    together = sorted(set(extras) | set(have[1:]))  # going back to fewer extras takes nothing away
    target = HERE + ("[%s]" % ",".join(together) if together else "")
    say("Installing Panelwright and its libraries into .venv (once, about a minute) ...")
    tried = ("-c", LOCK) if os.path.exists(LOCK) else ()
    failed = run(*pip("install", "--quiet", *(tried + ("-e", target))))
    if failed and tried:
        say("The tried versions in requirements.lock cannot all be had here; taking the newest that fit ...")
        failed = run(*pip("install", "--quiet", "-e", target))
    if failed:
        raise CannotSetUp(
            "The libraries could not be installed; pip says why above.\n"
            "Is this machine on the network? Behind a proxy, set HTTPS_PROXY first."
        )
    with open(STAMP, "w", encoding="utf-8") as out:
        out.write("\n".join([wanted] + together) + "\n")


def make_venv():
    """Make `.venv`, with Debian's missing piece if this is a Debian without it."""
    if os.path.exists(venv_python()) and not run(venv_python(), "-m", "pip", "--version", quiet=True):
        return
    say("Making .venv with Python %d.%d ..." % sys.version_info[:2])
    if run(sys.executable, "-m", "venv", "--clear", VENV, quiet=True) == 0:
        return
    install_packages(["python3-venv"], "Python's venv module")
    if run(sys.executable, "-m", "venv", "--clear", VENV):
        raise CannotSetUp("%s -m venv %s failed; see above." % (sys.executable, VENV))


def install_programs():
    """What the tests start besides Python: a browser, a PDF reader, a circuit solver."""
    missing = [
        (package, purpose)
        for purpose, (names, package) in sorted(PROGRAMS.items())
        if not (purpose == "a browser" and os.environ.get("PANELWRIGHT_CHROMIUM"))
        and not any(shutil.which(name) for name in names)
    ]
    if missing:
        install_packages([one[0] for one in missing], ", ".join(one[1] for one in missing))


def install_packages(packages, purpose):
    """Install Debian packages where that needs no password; else say the one line to type."""
    apt = shutil.which("apt-get")
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    by_hand = "sudo apt-get update && sudo apt-get install -y --no-install-recommends " + " ".join(packages)
    if not apt:
        raise CannotSetUp(
            "Missing: %s. On Debian or Ubuntu: %s\n"
            "On other systems install %s with your package manager, then start again."
            % (purpose, by_hand, ", ".join(packages))
        )
    sudo = [] if root else ["sudo", "-n"]
    if not root and (not shutil.which("sudo") or run("sudo", "-n", "true", quiet=True)):
        raise CannotSetUp("Missing: %s. Type this line, then start again:\n  %s" % (purpose, by_hand))
    say("Installing %s with apt ..." % " ".join(packages))
    environment = ["env", "DEBIAN_FRONTEND=noninteractive"]
    run(*(sudo + environment + [apt, "update", "-qq"]), quiet=True)
    install = [apt, "install", "-y", "-qq", "--no-install-recommends"]
    if run(*(sudo + environment + install + packages), quiet=True):
        raise CannotSetUp("apt-get could not install %s. Try by hand:\n  %s" % (" ".join(packages), by_hand))


def fingerprint():
    """Changes when the project's wishes, the tried versions, the Python or the folder change."""
    parts = [read(PYPROJECT), read(LOCK), sys.version, HERE]
    return hashlib.sha256("\0".join(parts).encode("utf-8")).hexdigest()


def venv_python():
    if os.name == "nt":
        return os.path.join(VENV, "Scripts", "python.exe")
    return os.path.join(VENV, "bin", "python")


def pip(*arguments):
    return (venv_python(), "-m", "pip", "--disable-pip-version-check") + arguments


# --- small things -----------------------------------------------------------------------------


def run(*command, **how):
    """Run a program in the project's folder and return its exit code; `quiet` hides what it prints."""
    hidden = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL} if how.get("quiet") else {}
    try:
        return subprocess.call(command, cwd=HERE, **hidden)
    except OSError as reason:
        say("%s: %s" % (command[0], reason))
        return 127


def say(text):
    print(text, flush=True)


def read(path):
    if not os.path.exists(path):
        return ""
    with open(path, encoding="utf-8") as text:
        return text.read()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
