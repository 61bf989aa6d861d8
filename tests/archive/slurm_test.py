"""An archive over a real Slurm: a controller and two nodes on this machine, of which one is killed half way.

    slurm_test.py BRINK EXAMPLES_ARCHIVE WORK_DIR

munged, slurmctld and two slurmd of the test's own, with ports and folders of their own. Wants root, as slurmd does.
"""

import atexit
import os
import pathlib
import re
import shutil
import socket
import subprocess
import sys
import tempfile

from archive import COUNT, SKIPPED, Archive, need, run, wait_for

TASKS = 20


def free_ports(count):
    sockets = [socket.socket() for _ in range(count)]
    for one in sockets:
        one.bind(("", 0))
    ports = [one.getsockname()[1] for one in sockets]
    for one in sockets:
        one.close()
    return ports


CONFIGURATION = """ClusterName=larkfield
SlurmctldHost={host}
SlurmctldPort={control_port}
AuthType=auth/munge
AuthInfo=socket={folder}/munge.socket
CredType=cred/munge
SlurmUser=root
SlurmdUser=root
StateSaveLocation={folder}/state
SlurmdSpoolDir={folder}/spool-%n
SlurmctldPidFile={folder}/slurmctld.pid
SlurmdPidFile={folder}/slurmd-%n.pid
SlurmctldLogFile={folder}/slurmctld.log
SlurmdLogFile={folder}/slurmd-%n.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SchedulerParameters=batch_sched_delay=1,sched_interval=2,requeue_setup_env_fail
SlurmdTimeout=10
SlurmctldTimeout=30
MinJobAge=3600
ReturnToService=2
MpiDefault=none
SwitchType=switch/none
NodeName=node1 NodeHostname={host} NodeAddr=127.0.0.1 Port={port1} CPUs=2 State=UNKNOWN
NodeName=node2 NodeHostname={host} NodeAddr=127.0.0.1 Port={port2} CPUs=2 State=UNKNOWN
PartitionName=all Nodes=node1,node2 Default=YES MaxTime=INFINITE State=UP
"""


class Cluster:
    """Ends with its own processes only."""

    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="brink-slurm-")
        os.chmod(self.folder, 0o755)  # munged wants its socket's folder reachable
        self.processes = {}
        atexit.register(self.close)
        host = socket.gethostname().split(".")[0]
        control, one, two = free_ports(3)
        pathlib.Path(self.folder, "slurm.conf").write_text(
            CONFIGURATION.format(folder=self.folder, host=host, control_port=control, port1=one, port2=two))
        pathlib.Path(self.folder, "munge.key").write_bytes(os.urandom(128))
        os.chmod(f"{self.folder}/munge.key", 0o600)
        self.environment = dict(os.environ, SLURM_CONF=f"{self.folder}/slurm.conf")
        self.start("munged", "munged", "--foreground", f"--key-file={self.folder}/munge.key", f"--socket={self.folder}/munge.socket",
                   f"--pid-file={self.folder}/munged.pid", f"--log-file={self.folder}/munged.log", f"--seed-file={self.folder}/munged.seed")
        wait_for("munged", lambda: os.path.exists(f"{self.folder}/munge.socket"))
        os.mkdir(f"{self.folder}/state")
        self.start("slurmctld", "slurmctld", "-D", "-i")
        for node in ("node1", "node2"):
            # A node is a process space of its own, which ends as a whole with the process that began it.
            self.start(node, "unshare", "--pid", "--fork", "--mount-proc", "--kill-child=KILL", "slurmd", "-D", "-N", node)
        wait_for("two nodes that are idle", lambda: self.ask("sinfo", "-h", "-N", "-o", "%T").split() == ["idle", "idle"])

    def start(self, name, *words):
        log = open(f"{self.folder}/{name}.out", "w", encoding="utf-8")
        self.processes[name] = subprocess.Popen(words, env=self.environment, stdout=log, stderr=log)

    def ask(self, *words):
        """What Slurm says; nothing while it is not up."""
        for name, process in self.processes.items():
            if process.poll() is not None:
                sys.exit(f"{name} ended: {pathlib.Path(self.folder, name + '.out').read_text()[-2000:]}")
        return subprocess.run(words, env=self.environment, capture_output=True, text=True, check=False).stdout

    def kill_node(self, name):
        """As a machine that loses its power: everything in it is gone at once."""
        node = self.processes.pop(name)
        node.kill()
        node.wait()

    def close(self):
        for process in reversed(list(self.processes.values())):
            if process.poll() is None:
                process.kill()  # nothing of it is kept; the process that began a node passes no gentler signal on
                process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)


def main():
    brink, examples, work = map(os.path.abspath, sys.argv[1:])
    need("munged", "slurmctld", "slurmd", "sbatch", "sinfo", "squeue", "unshare")
    if os.geteuid() != 0:
        print("skipped: slurmd wants root")
        sys.exit(SKIPPED)
    archive = Archive(work)
    cluster = Cluster()
    # In the environment, and not by --export: with values there, each node logs the user in, which may take a minute.
    cluster.environment.update(BRINK_ANALYSE_ONCE=f"{examples}/analyse-once", HOME=work,
                               PATH=f"{os.path.dirname(brink)}:{os.environ['PATH']}")
    submit = ["sbatch", "--parsable", f"--array=0-{TASKS - 1}", f"--output={work}/task-%a.log", f"--chdir={work}",
              f"{examples}/slurm-array", str(archive.list), str(archive.results)]
    job = run(*submit, env=cluster.environment).strip()
    wait_for("a third of the results", lambda: archive.done() >= COUNT // 3)
    on_node = cluster.ask("squeue", "-h", "-r", "-j", job, "-t", "RUNNING", "-w", "node2")
    assert on_node.strip(), "nothing runs on node2, so killing it would show nothing"
    cluster.kill_node("node2")
    before = archive.done()
    assert before < COUNT, before
    wait_for("the end of the job", lambda: cluster.ask("squeue", "-h", "-j", job).strip() == "")
    log = pathlib.Path(cluster.folder, "slurmctld.log").read_text(encoding="utf-8")
    requeued = set(re.findall(r"requeue job (JobId=\S+)", log))
    print(f"node2 killed after {before}; queued again: {len(requeued)} tasks")
    archive.check(brink)
    # The same command once more finds nothing to do.
    stamps = {path.name: path.stat().st_mtime_ns for path in archive.results.iterdir()}
    again = run(*submit, env=cluster.environment).strip()
    wait_for("the end of the second job", lambda: cluster.ask("squeue", "-h", "-j", again).strip() == "")
    assert stamps == {path.name: path.stat().st_mtime_ns for path in archive.results.iterdir()}, "done twice"


main()
