"""Checks a folder of records and its register without wattstep. Needs Python 3.8 or later and nothing else.

    python3 verify_register.py FOLDER [DIGEST]

Ends with 0 when every record is whole and registered, with 1 otherwise.
"""

import hashlib
import json
import pathlib
import sys


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def opening(head, n, broken):
    text = '{"prev":"%s","n":%d' % (head, n)
    if n == 1:
        text += ',"format":1'
    if broken is not None:
        text += ',"torn":{"bytes":%d,"sha256":"%s"}' % (len(broken), sha256(broken))
    return (text + ',"entry":').encode()


def sound(line):
    return line[-77:] == (',"sha256":"%s"}' % sha256(line[:-77] + b"}")).encode()


def chain(path):
    """The hashes and the texts of the whole lines and what is torn behind them, as docs/journal-format.md tells a reader to
    find them."""
    *lines, tail = path.read_bytes().split(b"\n")
    head, broken, hashes, whole = "0" * 64, None, [], []
    for number, line in enumerate(lines, 1):
        n = len(hashes) + 1
        following = lines[number] if number < len(lines) else tail
        torn = line if broken is None else broken + b"\n" + line
        declared = opening(head, n, torn)
        begun = len(following) >= 17 and declared.startswith(following)
        if following.startswith(declared) or (begun and not sound(line)):
            broken = torn
        elif sound(line) and line.startswith(opening(head, n, broken)):
            head, broken = sha256(line), None
            hashes.append(head)
            whole.append(line)
        else:
            raise ValueError(f"line {number} is damaged, or not the line that belongs there")
    if tail:
        broken = tail if broken is None else broken + b"\n" + tail
    return hashes, whole, broken


def runs(whole):
    """What the register says of each run: registered hashes by line, the latest line, whether more may follow."""
    known = {}
    for line in whole:
        entry = json.loads(line)["entry"]
        if "run" not in entry:
            continue  # a people file was approved
        ((kind, what),) = entry["what"].items()
        run = known.setdefault(entry["run"], {"marks": [], "lines": None, "open": False, "torn": None})
        if kind == "opened":
            run["marks"].append((1, what["first"]))
        else:
            end = what["end"]
            run["lines"] = max(run["lines"] or 0, end["lines"])
            run["torn"] = end.get("torn")
            if end["lines"]:
                run["marks"].append((end["lines"], end["head"]))
        failed = kind == "ended" and what["outcome"] == "could_not_record"
        run["open"] = kind in ("opened", "taken_up") or failed
    return known


def wrong(path, run):
    """What is wrong with a record, if anything."""
    if run is None:
        return "NOT REGISTERED"
    if not path.exists():
        return "MISSING"
    try:
        hashes, _, broken = chain(path)
    except ValueError as error:
        return str(error)
    for line, head in sorted(run["marks"]):
        if line <= len(hashes) and hashes[line - 1] != head:
            return f"REWRITTEN: line {line} is not the registered one"
    there, due = len(hashes), run["lines"]
    if due is None:
        return None if there else "NOTHING RECORDED"
    if there < due:
        return f"CUT: {due} lines registered, {there} there" if there else f"EMPTIED: {due} lines registered"
    if there > due and not run["open"]:
        return f"ADDED TO: {due} lines registered, {there} there"
    torn = None if broken is None else {"bytes": len(broken), "sha256": sha256(broken)}
    if torn != run["torn"] and not run["open"]:
        count = lambda own: own["bytes"] if own else 0
        return f"BYTES AFTER ITS END: {count(torn)} after line {there}, {count(run['torn'])} registered"
    return None


def against(hashes, digest):
    """How the register differs from a digest of it, if it does."""
    words = digest.split()
    lines, head = int(words[2]), words[5].rstrip(",")
    if len(hashes) < lines:
        return f"REGISTER SHORTENED: {lines} lines at the digest, {len(hashes)} now"
    if hashes[lines - 1] != head:
        return f"REGISTER REPLACED: line {lines} is not the one of the digest"
    return None


def main(folder, digest=None):
    folder = pathlib.Path(folder)
    register = folder / "register.jsonl"
    try:
        hashes, whole, _ = chain(register)
    except (OSError, ValueError) as error:
        print(f"{register}: {error}")
        return 1
    known = runs(whole)
    there = {path.stem for path in folder.glob("*.jsonl") if path != register}
    found = [(run, wrong(folder / f"{run}.jsonl", known.get(run))) for run in sorted(there | set(known))]
    if digest is not None:
        found.append(("register", against(hashes, digest)))
    bad = [f"{run}: {words}" for run, words in found if words]
    for line in bad:
        print(line)
    if bad:
        return 1
    head = hashes[-1] if hashes else "0" * 64
    print(f"{len(there)} records and the register hold; {len(hashes)} lines, head {head}")
    return 0


sys.exit(main(*sys.argv[1:]))
