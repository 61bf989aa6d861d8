"""GNU parallel over an archive, killed half way with all of its workers, and given once more.

    parallel_test.py BRINK EXAMPLES_ARCHIVE WORK_DIR
"""

import json
import os
import signal
import subprocess
import sys

from archive import COUNT, Archive, need, run, wait_for


def main():
    brink, examples, work = map(os.path.abspath, sys.argv[1:])
    need("parallel")
    archive = Archive(work)
    environment = dict(os.environ, PATH=f"{os.path.dirname(brink)}:{os.environ['PATH']}", HOME=work)
    # The command of docs/archives.md.
    command = ["parallel", "--will-cite", "--joblog", f"{work}/parallel.log", "--resume-failed", "-a", str(archive.list),
               f"{examples}/analyse-once", str(archive.results), "{}"]
    first = subprocess.Popen(command, env=environment, start_new_session=True, stderr=subprocess.DEVNULL)
    wait_for("a third of the results", lambda: archive.done() >= COUNT // 3)
    os.killpg(first.pid, signal.SIGKILL)  # its own session: parallel and every brink of it
    first.wait()
    before = archive.done()
    assert COUNT // 3 <= before < COUNT, before
    run(*command, env=environment)
    print(f"killed after {before}")
    # A run that was killed between its result and its end leaves an empty file of messages. The next run removes it.
    left = next(archive.results.glob("*.json")).with_suffix(".txt")
    left.touch()
    run(f"{examples}/analyse-once", archive.results, json.loads(left.with_suffix(".json").read_text())["file"], env=environment)
    assert not left.exists(), left
    archive.check(brink)


main()
