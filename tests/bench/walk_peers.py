"""GRASS r.cost, r.cost -k, r.walk and scikit-image MCP_Geometric on the grids of walk_bench.cpp and
walk_peer_test.cpp. Run by hand; needs GRASS 8.2 and scikit-image.

    python3 tests/bench/walk_peers.py time [SIDE]   milliseconds, best of three, one thread
    python3 tests/bench/walk_peers.py numbers       what walk_peer_test.cpp stores

The time of a GRASS module is that of its process inside an open session: it reads its maps and
writes one. MCP's is find_costs alone.
"""
import os
import subprocess
import sys
import tempfile
import time

import numpy as np

GISBASE = "/usr/lib/grass82"


def mixed(a, b):
    """A hash of two counts in 32 bits, the same as tests/support/walk_lands.h."""
    h = (a.astype(np.uint32) * np.uint32(73856093)) ^ (b.astype(np.uint32) * np.uint32(19349663))
    h ^= h >> np.uint32(13)
    h *= np.uint32(0x5BD1E995)
    return h ^ (h >> np.uint32(15))


def columns_rows(side):
    return np.meshgrid(np.arange(side), np.arange(side))


def noise(side):
    c, r = columns_rows(side)
    return (1 + 9 * (mixed(c, r) & np.uint32(0xFFFF)) / 65536).astype(np.float32)


def patches(side):
    c, r = columns_rows(side)
    cover = np.array([1, 1.2, 1.5, 2, 3, 4])[mixed(c // 40, r // 40) % np.uint32(6)]
    return (cover * (1 + 0.25 * (mixed(c, r) & np.uint32(0xFFFF)) / 65536)).astype(np.float32)


def hills(side, cell_m):
    c, r = columns_rows(side)
    x, y = (c + 0.5) * cell_m, (r + 0.5) * cell_m
    z = 9 * np.sin(x / 83) + 7 * np.cos(y / 61) + 4 * np.sin((x + y) / 37) + 3 * np.cos((x - 2 * y) / 53)
    return (200 + z).astype(np.float32)


class Session:
    """A GRASS session over one region of square cells, its corner at the origin."""

    def __init__(self, side, cell_m):
        self.side = side
        self.home = tempfile.TemporaryDirectory()
        sys.path.insert(0, os.path.join(GISBASE, "etc", "python"))
        os.environ["GISBASE"] = GISBASE
        subprocess.run(["grass", "-c", "XY", self.home.name + "/here", "-e"], check=True, capture_output=True)
        rc = self.home.name + "/rc"
        with open(rc, "w") as f:
            f.write(f"GISDBASE: {self.home.name}\nLOCATION_NAME: here\nMAPSET: PERMANENT\nGUI: text\n")
        self.env = dict(os.environ, GISRC=rc, GRASS_VERBOSE="0", LC_ALL="C",
                        PATH=f"{GISBASE}/bin:{GISBASE}/scripts:" + os.environ["PATH"],
                        LD_LIBRARY_PATH=f"{GISBASE}/lib")
        self.run("g.region", f"n={side * cell_m}", "s=0", "w=0", f"e={side * cell_m}", f"res={cell_m}")

    def run(self, *command):
        began = time.perf_counter()
        subprocess.run(command, check=True, env=self.env, capture_output=True)
        return (time.perf_counter() - began) * 1000

    def put(self, name, cells):
        path = self.home.name + "/" + name + ".bin"
        cells.astype("<f4").tofile(path)
        self.run("r.in.bin", "-f", f"input={path}", f"output={name}", "bytes=4", "order=little",
                 f"north={self.side}", "south=0", "west=0", f"east={self.side}",
                 f"rows={self.side}", f"cols={self.side}")
        region = subprocess.run(["g.region", "-g"], check=True, env=self.env, capture_output=True, text=True).stdout
        box = dict(line.split("=") for line in region.split())
        self.run("r.region", f"map={name}", f"n={box['n']}", f"s={box['s']}", f"w={box['w']}", f"e={box['e']}")

    def get(self, name):
        path = self.home.name + "/out.bin"
        self.run("r.out.bin", "-f", f"input={name}", f"output={path}", "bytes=8", "order=little", "--overwrite")
        return np.fromfile(path, "<f8").reshape(self.side, self.side)


def best_of_three(fn):
    return min(fn() for _ in range(3))


def mcp(costs, start):
    from skimage.graph import MCP_Geometric
    finder = MCP_Geometric(costs.astype(np.float64), fully_connected=True)
    began = time.perf_counter()
    found, _ = finder.find_costs([start])
    return found, (time.perf_counter() - began) * 1000


def cost_command(name, middle, *more):
    return ["r.cost", *more, f"input={name}", "output=out", f"start_coordinates={middle},{middle}",
            "memory=4000", "--overwrite"]


def walk_command(middle, ground="ground"):
    return ["r.walk", f"elevation={ground}", "friction=none", "output=out",
            f"start_coordinates={middle},{middle}", "lambda=0", "memory=4000", "--overwrite"]


def measure(side):
    s = Session(side, 1)
    middle = side // 2 + 0.5
    for name, costs in (("patches", patches(side)), ("noise", noise(side))):
        s.put(name, costs)
        print(f"{name}: r.cost {best_of_three(lambda: s.run(*cost_command(name, middle))):.0f} ms, "
              f"r.cost -k {best_of_three(lambda: s.run(*cost_command(name, middle, '-k'))):.0f} ms, "
              f"MCP_Geometric {best_of_three(lambda: mcp(costs, (side // 2 - 1, side // 2))[1]):.0f} ms")
    s.put("ground", hills(side, 1))
    s.put("none", np.zeros((side, side)))
    print(f"hills: r.walk {best_of_three(lambda: s.run(*walk_command(middle))):.0f} ms, "
          f"r.walk -k {best_of_three(lambda: s.run(*walk_command(middle), '-k')):.0f} ms")


def numbers():
    """From the cell 75, 74 of 150 x 150 (column, row from the north) to twenty cells."""
    side, start = 150, (74, 75)
    to = [((7 + 43 * k) % side, (13 + 29 * k) % side) for k in range(20)]

    def show(name, costs):
        print(f"{name} = " + ", ".join(f"{costs[at]:.4f}" for at in to))

    s = Session(side, 1)
    for name, costs in (("patches", patches(side)), ("noise", noise(side))):
        s.put(name, costs)
        show(f"{name}, MCP_Geometric", mcp(costs, start)[0])
        for more in ([], ["-k"]):
            s.run(*cost_command(name, side / 2 + 0.5, *more))
            show(" ".join([f"{name}, r.cost", *more]), s.get("out"))
    s = Session(side, 5)
    s.put("ground", hills(side, 5))
    s.put("turned", -hills(side, 5))
    s.put("none", np.zeros((side, side)))
    for ground in ("ground", "turned"):
        for more in ([], ["-k"]):
            s.run(*walk_command(5 * side / 2 + 2.5, ground), *more)
            show(" ".join([f"{ground}, r.walk", *more]), s.get("out"))


if __name__ == "__main__":
    if sys.argv[1:2] == ["time"]:
        measure(int(sys.argv[2]) if len(sys.argv) > 2 else 2000)
    elif sys.argv[1:2] == ["numbers"]:
        numbers()
    else:
        sys.exit(__doc__)
