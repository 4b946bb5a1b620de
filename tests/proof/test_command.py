"""The command `prove`."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

PUMP = "examples/orchard/well-pump.panel"
LONG = (  # promises of them take seconds
    "examples/orchard/emergency-stop.panel",
    "examples/circuits/c17-two-stage-washer.panel",
    "examples/circuits/c30-centrifuge-anti-plugging.panel",
)


def run(*words: str, **env: str) -> subprocess.CompletedProcess[str]:
    """The command with words."""
    command = [sys.executable, "-m", "panelwright", "prove", *words]
    return subprocess.run(command, capture_output=True, text=True, env=os.environ | env, check=False, timeout=300)


def test_nothing_is_said_of_progress_where_nobody_waits():
    """A pipe gets answers only."""
    assert run("--no-cache", PUMP).stderr == ""


def test_answers_are_kept_where_the_user_says(tmp_path):
    """PANELWRIGHT_CACHE moves the folder, --no-cache leaves it alone."""
    run(PUMP, PANELWRIGHT_CACHE=str(tmp_path / "kept"))
    run("--no-cache", PUMP, PANELWRIGHT_CACHE=str(tmp_path / "none"))

    assert list((tmp_path / "kept").rglob("*.json"))
    assert not (tmp_path / "none").exists()


def test_a_broken_promise_is_told_as_a_trial():
    """--trial prints a trial as it would stand in the file."""
    text = run("--trial", "examples/circuits/c25-start-on-earthed-side.panel").stdout

    assert 'trial "Breaks: with @3 touches earth: K1 stays out after S1 is released"' in text
    assert "fault @3 touches earth; press S1; power on; release S1; expect K1 out" in text


def test_waivers_are_told_with_their_reason():
    """What is not owed is said, and why."""
    answer = run("examples/orchard/lift-station.panel")

    assert "waived       no restart: a lift station has to pump again after a dip" in answer.stdout


@pytest.mark.parametrize("as_json", [False, True])
def test_ctrl_c_tells_what_was_proved_so_far(as_json, tmp_path):
    """SIGINT in the middle: answers up to there, the rest not decided, exit code 3, no traceback."""
    command = [sys.executable, "-u", "-m", "panelwright", "prove", *(["--json"] if as_json else [])]
    env = os.environ | {"PANELWRIGHT_CACHE": str(tmp_path)}
    process = subprocess.Popen(
        [*command, PUMP, *LONG], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env
    )
    while len(list(tmp_path.rglob("*.json"))) < 15:  # the first file is done, and some of the next
        time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    out, said = process.communicate(timeout=60)

    assert process.returncode == 3
    assert "Traceback" not in said
    if as_json:
        assert json.loads(out)[-1]["stopped"]
        assert json.loads(out)[0]["promises"]
    else:
        assert "Stopped; the promises that are not listed are not decided." in out
        assert "kept" in out


def test_a_terminal_sees_how_far_it_is(tmp_path):
    """With a terminal as stderr: which promise of how many, and the seconds."""
    import pty

    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "panelwright", "prove", "--no-cache", *LONG]
    env = os.environ | {"TERM": "xterm", "COLUMNS": "200"}
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=theirs, env=env)
    os.close(theirs)
    said = b""
    try:
        while b"promise" not in said:
            said += os.read(ours, 1000)
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=60)
        os.close(ours)

    assert b"of 1" in said or b"of 2" in said
