"""Builds the project in two folders and compares what came out, byte for byte.

    same_bytes.py [--short] SOURCE_DIR WORK_DIR

Without --short all Debian packages are built twice (the preset `package`, without a compiler cache). With --short one small
library is built with that preset's flags and with debug information, which holds paths; a third build without the flag that takes
paths out must differ, or else the comparison would see nothing.
"""

import glob
import hashlib
import json
import os
import shutil
import subprocess
import sys


def run(*words, **more):
    done = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)
    if done.returncode != 0:
        sys.exit(f"failed ({done.returncode}): {' '.join(words)}\n{done.stdout[-4000:]}")


def copy_sources(source, to):
    """What is under version control, as it lies there now; all but builds where there is no version control."""
    listed = subprocess.run(["git", "-C", source, "ls-files", "-z"], capture_output=True, check=False)
    if listed.returncode == 0:
        for name in filter(None, listed.stdout.decode().split("\0")):
            if os.path.exists(os.path.join(source, name)):
                os.makedirs(os.path.dirname(os.path.join(to, name)), exist_ok=True)
                shutil.copy(os.path.join(source, name), os.path.join(to, name))
    else:
        shutil.copytree(source, to, ignore=shutil.ignore_patterns("build", ".git"))


def digest(path):
    with open(path, "rb") as file:
        return hashlib.sha256(file.read()).hexdigest()


def package_flags(source):
    with open(f"{source}/CMakePresets.json", encoding="utf-8") as file:
        presets = {preset["name"]: preset for preset in json.load(file)["configurePresets"]}
    return presets["package"]["cacheVariables"]["CMAKE_CXX_FLAGS"].replace("${sourceDir}", source)


def library(source, flags):
    """The digest of the base library, built with debug information."""
    build = f"{source}/build/short"
    shutil.rmtree(build, ignore_errors=True)
    run("cmake", "-S", source, "-B", build, "-G", "Ninja", "-DBRINK_ONLY_DETECTOR=ON", "-DBUILD_TESTING=OFF",
        "-DCMAKE_BUILD_TYPE=RelWithDebInfo", f"-DCMAKE_CXX_FLAGS={flags}")
    run("cmake", "--build", build, "-t", "brink_base")
    return digest(glob.glob(f"{build}/**/libbrink_base.a", recursive=True)[0])


def packages(source):
    run("cmake", "--workflow", "--preset", "package", cwd=source)
    return {os.path.basename(path): digest(path) for path in glob.glob(f"{source}/build/package/debs/*.deb")}


def main():
    is_short = sys.argv[1] == "--short"
    source, work = map(os.path.abspath, sys.argv[-2:])
    os.environ["CCACHE_DISABLE"] = "1"  # a cached object would be the same by itself
    os.umask(0o022)  # a .deb tells the modes of its three parts, which are the umask's
    shutil.rmtree(work, ignore_errors=True)
    # Names of different lengths: a path inside would also move what follows it.
    folders = [f"{work}/one", f"{work}/another-place/deeper"]
    for folder in folders:
        copy_sources(source, folder)
    if is_short:
        first, second = (library(folder, package_flags(folder)) for folder in folders)
        assert first == second, "the base library differs between two folders"
        assert library(folders[1], "") != second, "without the flag it is the same too, so this test sees nothing"
        print("the base library is the same in both")
        return
    first, second = map(packages, folders)
    assert len(first) >= 3, first
    for name in sorted(first):
        print(f"{name}: {'the same' if first[name] == second.get(name) else 'DIFFERS'}")
    sys.exit(0 if first == second else 1)


main()
