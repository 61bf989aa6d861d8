"""GNU parallel over an archive, killed half way with all of its workers, and given once more.

    parallel_test.py BRINK EXAMPLES_ARCHIVE WORK_DIR
"""

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
    archive.check(brink)


main()
