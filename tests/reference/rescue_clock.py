"""The clock of a rescue a second time: plain dictionaries, and the longest path by a closure of a matrix in max-plus algebra.

Nothing of the program is used here. A network is a list of dictionaries: `id`, `after` (ids), `hands` (whoever is busy), `times` (all that
anybody estimated, s) and `from` (s, when the last of the hands has come). Whoever has several steps does them in the order in which they
come up: always the first of the list whose predecessors have come up before.

The matrix has a row and a column a step and one for the start. An entry (i, j) is the least time between the starts of i and j, minus
infinity where j waits for i in no way. Its closure over (max, +) holds the longest paths, so the row of the start holds the start of
each step. Formulas: F. Baccelli and others, Synchronization and Linearity, 1992, chapter 3; basis: memory.
"""

NONE = float("-inf")


def waits(network):
    """For each step the set of those that it waits for: by the plan, and whoever of its hands was busy last."""
    came, busy, links = [], {}, {}
    left = dict.fromkeys(range(len(network)))
    while left:
        here = next(n for n in left if {network[n]["id"] for n in left}.isdisjoint(network[n]["after"]))
        del left[here]
        step = network[here]
        links[step["id"]] = set(step["after"]) | {busy[hand] for hand in step["hands"] if hand in busy}
        busy |= {hand: step["id"] for hand in step["hands"]}
        came.append(step["id"])
    return links


def closure(matrix):
    """The longest path between any two (no circle gains): every step in between is allowed, one more at a time."""
    size = range(len(matrix))
    for by in size:
        matrix = [[max(matrix[i][j], matrix[i][by] + matrix[by][j]) for j in size] for i in size]
    return matrix


def clock(network, detection=0.0):
    """Step -> (start, finish) in seconds from the fall."""
    links, names = waits(network), [step["id"] for step in network]
    longest = {step["id"]: sorted(step["times"])[-1] for step in network}
    matrix = [[0.0 if i == j else NONE for j in range(len(names) + 1)] for i in range(len(names) + 1)]
    for j, step in enumerate(network, 1):
        matrix[0][j] = float(step["from"])
        for other in links[step["id"]]:
            matrix[1 + names.index(other)][j] = longest[other]
    starts = closure(matrix)[0][1:]
    return {name: (detection + start, detection + start + longest[name]) for name, start in zip(names, starts, strict=True)}


def seconds(text):
    """A time as a profile writes it."""
    number, unit = (text["value"] if isinstance(text, dict) else text).split()
    return float(number) * {"s": 1.0, "min": 60.0, "h": 3600.0}[unit]


def of_profile(method, shift):
    """Contact and ground in seconds from the fall of a method and a shift as the profile writes them; None where nobody would know."""
    watch = shift["watch"]
    if watch["how"] == "none":
        return None
    detection = 0.0 if watch["how"] == "continuous" else seconds(watch["interval"]) + seconds(watch.get("confirm", "0 s"))
    network = []
    for step in method["steps"]:
        posts = [p for p in shift.get("posts", ()) if f"{method['id']}.{step['id']}" in p.get("steps", ())]
        come = max([seconds(p["from"]) for p in posts if "from" in p], default=0.0)
        network.append(
            {
                "id": step["id"], "after": step.get("after", ()), "times": [seconds(t) for t in step["time"].values()],
                "hands": {*step.get("who", ()), *(p["post"] for p in posts)}, "from": max(come - detection, 0.0),
            }
        )  # fmt: skip
    times = clock(network, detection)
    return times[method["contact_step"]][1], times[method["ground_step"]][1]
