"""Files made to be slow or large: each answered in five seconds and all within 128 MiB, by a process of its own."""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parents[2]
SECONDS, MEBIBYTES = 5, 128

CHILD = """
import random
import sys
import time
from league.exchange import courses_csv, courses_json, ledger_file, rounds_csv

SIZE = 2 * 1024 * 1024
HEAD = b"played_on,course,tee,gross,note\\n"
FULL = ",".join(rounds_csv.COLUMNS).encode() + b"\\n"


def filled(piece, start=b"", end=b""):
    return start + piece * ((SIZE - len(start) - len(end)) // len(piece)) + end


def files():
    rng = random.Random(7)
    yield "bytes", rng.randbytes(SIZE)
    yield "letters", bytes(rng.choices(b'ab,;"\\t\\n\\r0129-/.x=', k=SIZE))
    yield "letters under headings", HEAD + bytes(rng.choices(b'ab,\\n0129-/x', k=SIZE - len(HEAD)))
    for name, piece in {
        "commas": b",", "line ends": b"\\n", "returns": b"\\r", "quotes": b'"', "open quotes": b'"\\n', "letter": b"a",
        "nul": b"\\0", "spaces": b" ", "tabs": b"\\t", "marks": b"\\xcc\\x81", "wide": b"\\xf0\\x9f\\x91\\xa9",
        "separators": b"\\xe2\\x80\\xa8", "braces": b"{", "brackets": b"[", "pairs": b'{"a":', "numbers": b"1",
    }.items():
        yield name, filled(piece)
        yield f"{name} under headings", filled(piece, HEAD)
        yield f"{name} in a cell", filled(piece, HEAD + b'2026-04-03,"', b'",b,90,c\\n')
    wide_cell = b"2026-04-03,a,b,90," + b"a\\xcc\\x81" * 1_300 + b"\\n"
    yield "accents in every note", filled(wide_cell, HEAD)
    yield "marks in every note", filled(b"2026-04-03,a,b,90,a" + b"\\xcc\\x81\\xcc\\xa3" * 900 + b"\\n", HEAD)
    yield "bad cells", filled(b"x,\\x07,\\x07,x,\\x07\\n", HEAD)
    yield "bad cells in all columns", filled(b"," + b"?," * 67 + b"?\\n", FULL)
    yield "one good round again and again", filled(b"2026-04-03,a,b,90,\\n", HEAD)
    yield "long dates", filled(b"1" * 3_900 + b",a,b,90,\\n", HEAD)
    yield "open dates", filled(b"03/04/2026,a,b,90,\\n", HEAD)
    yield "blank rows", filled(b",,,,\\n", HEAD)
    heads = b"played_on,course,tee,holes,gross\\n"
    yield "long holes", filled(b"2026-04-03,a,b," + b"1 to 18;" * 480 + b",90\\n", heads)
    yield "spaced holes", filled(b"2026-04-03,a,b,1" + b" " * 3_900 + b"x,90\\n", heads)
    yield "named holes", filled(b"2026-04-03,a,b," + b"front 9 " * 480 + b",90\\n", heads)
    rows = [b"a,2026-04-03,1,b,c,men,18,," + b",%d" % number + b",5" * 18 + b",2" * 18 + b",0" * 18 + b",,,,,,\\n"
            for number in range(60, 70)]
    yield "full rows", filled(b"".join(rows), FULL)
    yield "keys once", b"{" + b",".join(b'"%d":1' % number for number in range(180_000)) + b"}"
    yield "keys twice", b"{" + b",".join(b'"%d":1' % number for number in range(180_000)) + b',"179999":1}'
    yield "list of lists", b"[" + b",".join([b"[]"] * 600_000) + b"]"
    yield "course of holes", b'{"tees":[{"holes":[' + b",".join([b"{}"] * 600_000) + b"]}]}"
    yield "ledger of facts", b'{"events":[' + b",".join([b'{"kind":1}'] * 19_000) + b"]}"


names = 0
for name, data in files():
    for read in (
        rounds_csv.read,
        courses_json.read,
        lambda data: ledger_file.read(data.decode("utf-8", "replace")),
        lambda data: courses_csv.read_holes(data.decode("utf-8", "replace")),
    ):
        begun = time.process_time()
        reading = read(data)
        taken = time.process_time() - begun
        assert reading.problems, name
        assert len(reading.problems) <= 1_001, name
        assert taken < float(sys.argv[1]), (name, taken)
    names += 1
# The kernel's own peak of this program; getrusage would begin with what its parent held when it was forked.
with open("/proc/self/status") as status:
    peak = next(line for line in status if line.startswith("VmHWM"))
print(names, int(peak.split()[1]) // 1024)
"""


def test_a_hostile_file_is_answered_in_time_and_memory():
    done = subprocess.run(
        [sys.executable, "-S", "-c", CHILD, str(SECONDS)], cwd=HERE, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    n_files, mebibytes = map(int, done.stdout.split())
    assert n_files > 60
    assert mebibytes < MEBIBYTES
