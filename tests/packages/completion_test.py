"""The installed completions, asked by the shells themselves.

    completion_test.py BUILD_DIR WORK_DIR

Ends with 77 (skipped) and names the shells that are not here, when all that are here passed.
"""

import os
import pty
import select
import shutil
import subprocess
import sys
import time

PATIENCE_S = 120.0


def run(*words, **more):
    done = subprocess.run(words, capture_output=True, text=True, **more)
    if done.returncode != 0:
        sys.exit(f"failed ({done.returncode}): {' '.join(words)}\n{done.stdout}{done.stderr}")
    return done.stdout


def bash_offers(prefix, words):
    """What bash would offer for the last of `words`."""
    script = f"""source {prefix}/share/bash-completion/completions/brink
COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _brink; [ ${{#COMPREPLY[@]}} -eq 0 ] || printf '%s\\n' "${{COMPREPLY[@]}}" """
    return run("bash", "-c", script, "bash", *words).splitlines()


def fish_offers(prefix, words):
    script = f"source {prefix}/share/fish/vendor_completions.d/brink.fish; complete -C {' '.join(words)!r}"
    return [line.split("\t")[0] for line in run("fish", "--no-config", "-c", script).splitlines()]


def typed_in_zsh(prefix, line, wanted):
    """Types `line` and Tab at a zsh of its own, until the line stands there as `wanted`."""
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update(TERM="dumb", PS1="READY> ")
        os.execvp("zsh", ["zsh", "-f", "-i"])
    seen = ""

    def wait_for(text):
        nonlocal seen
        end = time.monotonic() + PATIENCE_S
        while text not in seen:
            ready, _, _ = select.select([terminal], [], [], max(0.0, end - time.monotonic()))
            if not ready:
                sys.exit(f"zsh: {line!r} did not become {wanted!r}: {seen!r}")
            seen += os.read(terminal, 4096).decode("utf-8", "replace")

    try:
        folder = f"{prefix}/share/zsh/vendor-completions"
        os.write(terminal, f"PS1='RE''ADY> '; fpath=({folder} $fpath); autoload -U compinit; compinit -u -D; echo SET''UP\n".encode())
        wait_for("SETUP")
        wait_for("READY> ")
        seen = ""
        os.write(terminal, (line + "\t").encode())
        wait_for(wanted)
    finally:
        os.kill(child, 9)
        os.waitpid(child, 0)
        os.close(terminal)


def main():
    build, work = map(os.path.abspath, sys.argv[1:])
    shutil.rmtree(work, ignore_errors=True)
    prefix = f"{work}/prefix"
    run("cmake", "--install", build, "--component", "program", "--prefix", prefix)
    folder = f"{work}/here"
    os.makedirs(f"{folder}/takes")
    open(f"{folder}/soundcheck.wav", "w", encoding="utf-8").close()
    os.chdir(folder)

    missing = [shell for shell in ("bash", "fish", "zsh") if shutil.which(shell) is None]
    for shell, offers in (("bash", bash_offers), ("fish", fish_offers)):
        if shell in missing:
            continue
        assert offers(prefix, ["brink", "ana"]) == ["analyse"], offers(prefix, ["brink", "ana"])
        assert offers(prefix, ["brink", "book", "expo"]) == ["export"]
        assert "--format" in offers(prefix, ["brink", "analyse", "--f"])
        assert "--venue" in offers(prefix, ["brink", "book", "list", "--ve"])
        assert set(offers(prefix, ["brink", "analyse", "--format", ""])) == {"text", "json", "csv", "labels", "svg"}
        assert offers(prefix, ["brink", "plan", "--sound", "ina"]) == ["inaudible"]
        assert offers(prefix, ["brink", "analyse", "soundch"]) == ["soundcheck.wav"]
        assert offers(prefix, ["brink", "analyse", "--output", "soundch"]) == ["soundcheck.wav"]
        # What takes another thing than a file or a word is offered nothing, and hidden commands are not offered at all.
        assert offers(prefix, ["brink", "analyse", "--sure", "soundch"]) == []
        assert offers(prefix, ["brink", "capture"]) == []
        print(f"{shell} completes")
    if "zsh" not in missing:
        typed_in_zsh(prefix, "brink ana", "brink analyse ")
        typed_in_zsh(prefix, "brink book expo", "brink book export ")
        typed_in_zsh(prefix, "brink analyse --form", "brink analyse --format ")
        typed_in_zsh(prefix, "brink analyse --format la", "brink analyse --format labels ")
        typed_in_zsh(prefix, "brink analyse soundch", "brink analyse soundcheck.wav ")
        print("zsh completes")
    if missing:
        print(f"skipped: {', '.join(missing)} not here")
        sys.exit(77)


main()
