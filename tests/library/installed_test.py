"""The library as others find it: installs a build tree, and builds and runs the examples from there.

    installed_test.py BUILD_DIR EXAMPLES_DIR WORK_DIR

Through find_package and through pkg-config, in C and C++, shared and static. The examples must hear a ring in noise, and nothing
in the noise alone; the library may need no other library than KissFFT and the compiler's own, and show no symbol but its interface.
"""

import array
import math
import os
import random
import re
import shutil
import subprocess
import sys

RATE_HZ = 48000
RING_HZ = 1234.0
LONGEST_EXAMPLE_LINES = 40


def run(*words, **more):
    done = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **more)
    text = done.stdout.decode("utf-8", "replace")
    if done.returncode != 0:
        sys.exit(f"failed ({done.returncode}): {' '.join(map(str, words))}\n{text}")
    return text


def sound(has_ring):
    """6 s: a ring that grows 40 dB a second out of a bed of noise, is limited, and fades from 4.5 s on."""
    noise = random.Random(1)
    samples = array.array("f")
    for n in range(6 * RATE_HZ):
        now_s = n / RATE_HZ
        level_db = min(-60.0 + 40.0 * (now_s - 1.5), -9.0) - 60.0 * max(0.0, now_s - 4.5)
        tone = 10.0 ** (level_db / 20.0) * math.sin(2.0 * math.pi * RING_HZ * now_s)
        samples.append(0.001 * noise.uniform(-1.7, 1.7) + (tone if has_ring else 0.0))
    return samples.tobytes()


def check(program, name, ring, noise):
    """`program` prints a line for the ring, and none for noise; refuses a rate that is none."""
    heard = run(program, str(RATE_HZ), input=ring)
    lines = heard.splitlines()
    assert len(lines) == 1, f"{name}: {heard!r}"
    frequency = float(re.search(r"([\d.]+) Hz", lines[0]).group(1))
    assert abs(frequency - RING_HZ) < 1.0, f"{name}: {heard!r}"
    assert run(program, str(RATE_HZ), input=noise) == "", f"{name}: hears a ring in noise"
    refused = subprocess.run([program, "12"], input=b"", capture_output=True)
    assert refused.returncode == 2 and b"between 8000 and 192000 Hz" in refused.stderr, f"{name}: {refused}"
    print(f"{name}: {lines[0]}")


def check_symbols(library):
    symbols = {line.split()[-1] for line in run("nm", "-D", "--defined-only", library).splitlines()}
    ours = {symbol for symbol in symbols if symbol.startswith("brink_")}
    others = {symbol for symbol in symbols if not symbol.startswith("brink_") and not symbol.startswith("BRINK_")}
    assert "brink_detector_new@@BRINK_1" in ours, symbols
    assert not others, f"symbols that are none of the interface: {others}"
    needed = set(re.findall(r"\[(lib[a-z+]+)", run("readelf", "-d", library).replace("Library soname", "")))
    allowed = {"libkissfft", "libstdc++", "libm", "libgcc", "libc", "libbrink"}
    assert needed <= allowed, f"needs {needed - allowed}"
    assert "soname: [libbrink.so.1]" in run("readelf", "-d", library)


def main():
    build, examples, work = map(os.path.abspath, sys.argv[1:])
    shutil.rmtree(work, ignore_errors=True)
    prefix = os.path.join(work, "prefix")
    for component in ("library", "development"):
        run("cmake", "--install", build, "--component", component, "--prefix", prefix)
    libraries = os.path.dirname(os.path.join(prefix, run("find", prefix, "-name", "libbrink.so").strip()))
    check_symbols(os.path.join(libraries, "libbrink.so"))

    ring, noise = sound(True), sound(False)
    for name in os.listdir(examples):
        if name.endswith((".c", ".cpp")):
            with open(os.path.join(examples, name), encoding="utf-8") as file:
                assert len(file.readlines()) <= LONGEST_EXAMPLE_LINES, f"{name} is too long for an example"

    tree = os.path.join(work, "examples")
    run("cmake", "-S", examples, "-B", tree, "-G", "Ninja", f"-DCMAKE_PREFIX_PATH={prefix}")
    run("cmake", "--build", tree)
    for program in ("rings", "cuts", "rings_static"):
        check(os.path.join(tree, program), f"find_package, {program}", ring, noise)

    paths = dict(os.environ, PKG_CONFIG_PATH=os.path.join(libraries, "pkgconfig"))
    for compiler, source in (("cc", "rings.c"), ("c++", "cuts.cpp")):
        for how in ([], ["--static"]):
            flags = run("pkg-config", *how, "--cflags", "--libs", "brink", env=paths).split()
            if how:
                flags = [os.path.join(libraries, "libbrink.a") if flag == "-lbrink" else flag for flag in flags]
            program = os.path.join(work, source + ("_static" if how else ""))
            run(compiler, "-Wall", "-Wextra", "-Werror", os.path.join(examples, source), *flags, f"-Wl,-rpath,{libraries}", "-o", program)
            check(program, f"pkg-config {' '.join(how)} {source}", ring, noise)


main()
