"""Labelled recordings, the script that scores against them, and what the other scripts here share.

The recordings are no part of the project. A directory of them holds truth.json, a list of
  {"clip": file, "kind": text, "duration_s": s, "near_brink_hz": [Hz, ...],
   "rings": [{"frequency_hz", "pole_hz", "unstable_s", "dominant_s", "range_hz": [low, high]}, ...]}
The scoring script prints, with --json, {kind: {figure: value}} and the kind "all".
"""

import json
import os
import subprocess
import sys

SKIPPED = 77  # exit status that ctest reads as "skipped"


class Missing(Exception):
    """Something outside the project is not here; the message says what."""


def add_arguments(parser):
    parser.add_argument('--corpus', required=True, help='directory of labelled recordings')
    parser.add_argument('--brink', required=True, help='the program')


def require(path, what):
    if not os.path.exists(path):
        raise Missing(f'skipped: no {what} at {path}')


def truth(corpus):
    path = os.path.join(corpus, 'truth.json')
    require(path, 'labelled recordings')
    with open(path, encoding='utf-8') as file:
        return json.load(file)


def score(script, corpus, command):
    """{kind: figures} of a command that prints one JSON object for each recording."""
    require(os.path.join(corpus, 'truth.json'), 'labelled recordings')
    require(script, 'scoring script')
    run = subprocess.run([script, '--json', corpus, *command], capture_output=True, text=True)
    if run.returncode:
        sys.exit(f'{script}: {run.stderr.strip() or run.stdout.strip()}')
    return json.loads(run.stdout)


def analysis(command, path):
    run = subprocess.run([*command, path], capture_output=True, text=True)
    if run.returncode:
        sys.exit(f'{path}: {run.stderr.strip()}')
    return json.loads(run.stdout)


def shown(value):
    """A figure as a table shows it; there is none (None or NaN) where nothing was counted."""
    return '-' if value is None or value != value else str(value)


def main(work, when_missing=0):
    """Runs `work`, which may return an exit status. What is missing outside the project is no failure."""
    try:
        sys.exit(work())
    except Missing as missing:
        print(missing)
        sys.exit(when_missing)
