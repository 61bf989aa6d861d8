"""The library by itself: -DBRINK_ONLY_DETECTOR=ON with every dependency but KissFFT out of sight, then installed and used.

    by_itself_test.py SOURCE_DIR WORK_DIR
"""

import os
import subprocess
import sys

source, work = map(os.path.abspath, sys.argv[1:])
tree = os.path.join(work, "by_itself")
hidden = ["PkgConfig", "fmt", "CLI11", "nlohmann_json", "doctest", "SQLite3", "SQLiteCpp", "Threads", "Python3", "glfw3", "OpenGL"]
# Little optimisation: what counts here is that it builds and runs.
subprocess.run(["cmake", "-S", source, "-B", tree, "-G", "Ninja", "-DBRINK_ONLY_DETECTOR=ON", "-DBUILD_TESTING=OFF",
                "-DCMAKE_BUILD_TYPE=", "-DCMAKE_CXX_FLAGS=-O1",
                *(f"-DCMAKE_DISABLE_FIND_PACKAGE_{name}=ON" for name in hidden)], check=True)
subprocess.run(["cmake", "--build", tree], check=True)
subprocess.run([sys.executable, os.path.join(source, "tests/library/installed_test.py"), tree, os.path.join(source, "examples"),
                os.path.join(work, "used")], check=True)
