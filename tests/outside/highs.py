"""The planning model in HiGHS, as an outside check of the planner.

highs.py agree N SOLVE MAKE      N random instances: same objective, each proved by both
highs.py speed SOLVE MAKE        a table of sizes, seconds (HiGHS's own) and ratios
highs.py one FILE                the optimum of one instance file

SOLVE and MAKE are the built examples solve_instance and make_instance. The model is written from
its description (whole lines, menus, paths, links, stock, budgets on the timeline) and shares
nothing with the planner but the instance file. Exit 1 when anything differs or cannot be run.
"""

import json
import subprocess
import sys
import tempfile

import highspy
import numpy


def chain(instance, student):
    """Nodes (line, side, sides, link times to the next) and segments (nodes, passes, inner)."""
    nodes, segments = [], []
    for block, tied in zip(instance["blocks"], student["tied"]):
        if not block["sided"]:
            runs, passes, times = [("r", 1)], block["repeats"], 1
        elif tied:
            runs, passes, times = [("both", 2)], 2 * block["repeats"], 2
        else:
            runs, passes, times = [("r", 1), ("l", 1)], block["repeats"], 1
        for number, (side, sides) in enumerate(runs):
            start = len(nodes)
            for line in block["lines"]:
                nodes.append([line, side, sides, times])
            nodes[-1][3] = 0 if number + 1 < len(runs) else 1
            segments.append((range(start, len(nodes)), passes, block.get("inner"), block["lines"][0]))
    return nodes, segments


def timeline(segments):
    order = []
    for nodes, passes, inner, first in segments:
        once = list(nodes)
        if inner:
            a, b = inner["first"] - first, inner["last"] - first
            once = once[:a] + once[a : b + 1] * inner["repeats"] + once[b + 1 :]
        order += once * passes
    return order


def change(instance, a, b):
    props = set(a.get("props", {})) | set(b.get("props", {}))
    moved = sum(abs(a.get("props", {}).get(p, 0) - b.get("props", {}).get(p, 0)) for p in props)
    return instance["level_change"][a["level"]][b["level"]] + instance["weights"]["prop_change"] * moved


class Model:
    def __init__(self):
        self.cost, self.low, self.high, self.whole = [], [], [], []
        self.rows = []

    def var(self, cost, high=1.0, whole=True, low=0.0):
        self.cost.append(float(cost))
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, low, terms, high):
        self.rows.append((low, terms, high))

    def solve(self, seconds):
        inf = highspy.kHighsInf
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.cost), len(self.rows)
        lp.col_cost_ = numpy.array(self.cost)
        lp.col_lower_, lp.col_upper_ = numpy.array(self.low), numpy.array(self.high)
        lp.row_lower_ = numpy.array([-inf if r[0] is None else r[0] for r in self.rows])
        lp.row_upper_ = numpy.array([inf if r[2] is None else r[2] for r in self.rows])
        starts, index, value = [0], [], []
        for _, terms, _ in self.rows:
            for var, factor in terms.items():
                index.append(var)
                value.append(float(factor))
            starts.append(len(index))
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_ = numpy.array(starts), numpy.array(index)
        lp.a_matrix_.value_ = numpy.array(value)
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if w else kinds.kContinuous for w in self.whole]
        highs = highspy.Highs()
        highs.setOptionValue("output_flag", False)
        highs.setOptionValue("threads", 1)
        highs.setOptionValue("mip_rel_gap", 0.0)
        highs.setOptionValue("mip_abs_gap", 0.99)
        highs.setOptionValue("time_limit", float(seconds))
        highs.passModel(lp)
        highs.run()
        info = highs.getInfo()
        proved = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return info.objective_function_value, info.mip_dual_bound, proved, highs.getRunTime()


def model(instance):
    """The integer program of an instance."""
    m, w = Model(), instance["weights"]
    shapes = []
    for line in instance["lines"]:
        cands = line["candidates"]
        named = {}
        for c in cands:
            if not c.get("rest"):
                named.setdefault(c["shape"], m.var(0))
        shapes.append(named)
        free = {cands[c]["shape"] for c in line.get("free", [])}
        for shape in free:
            m.row(1, {named[shape]: 1}, 1)
        counted = [y for shape, y in named.items() if shape not in free]
        option, excess = m.var(w["option"], len(cands), False), m.var(w["excess"], len(cands), False)
        m.row(-1, {option: 1, **{y: -1 for y in counted}}, None)
        m.row(-instance["max_options"], {excess: 1, **{y: -1 for y in counted}}, None)
        taught = named[cands[line["taught"]]["shape"]]
        gone = m.var(w["lead"], 1, False)
        m.row(1, {gone: 1, taught: 1}, None)
        if line["keep"]:
            m.row(1, {taught: 1}, 1)
        if line.get("kinder"):
            m.row(1, {named[s]: 1 for s in {cands[c]["shape"] for c in line["kinder"]}}, None)
    stock = {}
    for student in instance["students"]:
        nodes, segments = chain(instance, student)
        barred = {tuple(link) for link in student.get("barred", [])}
        xs = []
        for line, side, sides, _ in nodes:
            cands = instance["lines"][line]["candidates"]
            strays = student["stray"][line]["l" if side == "l" else "r"]
            x = {}
            for text, stray in strays.items():
                c = int(text)
                rest = w["rest"] * sides if cands[c].get("rest") else 0
                x[c] = m.var(stray * sides + rest)
                if not cands[c].get("rest"):
                    m.row(None, {x[c]: 1, shapes[line][cands[c]["shape"]]: -1}, 0)
            m.row(1, {var: 1 for var in x.values()}, 1)
            xs.append(x)
        for n in range(len(nodes) - 1):
            line, _, _, times = nodes[n]
            here, there = instance["lines"][line], instance["lines"][nodes[n + 1][0]]
            class_change = change(instance, here["candidates"][here["taught"]], there["candidates"][there["taught"]])
            flows = {}
            for a in xs[n]:
                for b in xs[n + 1]:
                    if (line, a, nodes[n + 1][0], b) in barred:
                        continue
                    rel = max(0, change(instance, here["candidates"][a], there["candidates"][b]) - class_change)
                    flows[a, b] = m.var(rel * times, 1, False)
            for a, x in xs[n].items():
                m.row(0, {x: -1, **{f: 1 for (c, _), f in flows.items() if c == a}}, 0)
            for b, x in xs[n + 1].items():
                m.row(0, {x: -1, **{f: 1 for (_, c), f in flows.items() if c == b}}, 0)
        # What is held: the most of the student's nodes at the line.
        at_line = {}
        for n, node in enumerate(nodes):
            at_line.setdefault(node[0], []).append(n)
        for line, here in at_line.items():
            cands = instance["lines"][line]["candidates"]
            for prop in instance["stock"]:
                held = [{xs[n][c]: cands[c].get("props", {}).get(prop, 0) for c in xs[n]} for n in here]
                held = [{x: number for x, number in terms.items() if number} for terms in held]
                if not any(held):
                    continue
                row = stock.setdefault((line, prop), {})
                if len(here) == 1:
                    row.update(held[0])
                    continue
                most = m.var(0, max(number for terms in held for number in terms.values()), False)
                for terms in held:
                    m.row(0, {most: 1, **{x: -number for x, number in terms.items()}}, None)
                row[most] = 1
        order = timeline(segments)
        for budget in student.get("budgets", []):
            seconds = [instance["lines"][node[0]]["seconds"] for node in nodes]
            using = [
                [xs[n][c] for c in xs[n] if budget["use"] in instance["lines"][nodes[n][0]]["candidates"][c].get("uses", [])]
                for n in range(len(nodes))
            ]
            if budget.get("class_s") is not None:
                total = {}
                for n in order:
                    for x in using[n]:
                        total[x] = total.get(x, 0) + seconds[n]
                m.row(None, total, budget["class_s"])
            if budget.get("bout_s") is not None:
                # Every shortest stretch of the timeline that is too long has a gap in it.
                for start in range(len(order)):
                    length, end = 0, start
                    while end < len(order) and length <= budget["bout_s"]:
                        length += seconds[order[end]]
                        end += 1
                    if length <= budget["bout_s"]:
                        break
                    distinct = set(order[start:end])
                    m.row(None, {x: 1 for n in distinct for x in using[n]}, len(distinct) - 1)
    for (line, prop), row in stock.items():
        m.row(None, row, instance["stock"][prop])
    return m


def product(solve, path, seconds=None):
    more = ["--seconds", str(seconds)] if seconds else []
    run = subprocess.run([solve, path, *more], capture_output=True, text=True, check=True)
    plan = json.loads(run.stdout)
    return plan, float(run.stderr.split()[-1])


def made(make, path, *numbers):
    with open(path, "w") as out:
        subprocess.run([make, *map(str, numbers)], stdout=out, check=True)
    with open(path) as text:
        return json.load(text)


def agree(number, solve, make):
    bad = late = 0
    with tempfile.NamedTemporaryFile(suffix=".json") as file:
        for seed in range(number):
            lines, students, short = 4 + seed % 17, 2 + seed * 7 % 19, (0, 1, 2, 6)[seed % 4]
            instance = made(make, file.name, lines, students, short, seed, 30 + seed % 3 * 35, 1 + seed % 3)
            best, bound, proved, _ = model(instance).solve(120)
            plan, _ = product(solve, file.name)
            late += not proved
            # Where HiGHS ran out of time its bound must still be below, its plan not better.
            same = plan["proved"] and plan["objective"] == plan["lower_bound"]
            same = same and bound - 1e-6 <= plan["objective"] <= best + 1e-6
            same = same and (not proved or plan["objective"] == round(best))
            if not same:
                bad += 1
                print(f"seed {seed} ({lines} x {students}, {short} short): HiGHS {best} (bound {bound}, {proved}), "
                      f"here {plan['objective']} (bound {plan['lower_bound']}, {plan['proved']})")
            if seed % 10 == 9:
                print(seed + 1, "looked at", flush=True)
    print(f"{number} instances, {number - bad - late} equal and proved by both, "
          f"{late} where HiGHS ran out of time, {bad} that differ or are not proved here")
    return bad == 0


def speed(solve, make):
    median = lambda numbers: sorted(numbers)[len(numbers) // 2]
    print("| lines | students | short | n | here s | HiGHS s | ratio (median) | proved here / HiGHS |")
    print("|---|---|---|---|---|---|---|---|")
    with tempfile.NamedTemporaryFile(suffix=".json") as file:
        for lines, students, short, count in [
            (20, 14, 0, 9), (20, 14, 1, 9), (20, 14, 2, 9), (20, 14, 6, 9),
            (40, 30, 0, 5), (40, 30, 1, 5), (40, 30, 2, 5), (40, 30, 6, 5), (80, 30, 0, 3),
        ]:
            ours, theirs, ratios, proofs = [], [], [], [0, 0]
            for seed in range(100, 100 + count):
                instance = made(make, file.name, lines, students, short, seed)
                plan, here = product(solve, file.name, 10)
                _, _, proved, there = model(instance).solve(60)
                ours.append(here)
                theirs.append(there)
                ratios.append(there / here)
                proofs[0] += plan["proved"]
                proofs[1] += proved
            print(f"| {lines} | {students} | {short} | {count} | {median(ours):.3f} | {median(theirs):.2f} | "
                  f"{median(ratios):.0f} | {proofs[0]} / {proofs[1]} |", flush=True)
    return True


def main(args):
    if args[:1] == ["agree"]:
        return agree(int(args[1]), args[2], args[3])
    if args[:1] == ["speed"]:
        return speed(args[1], args[2])
    if args[:1] == ["one"]:
        with open(args[1]) as text:
            print(model(json.load(text)).solve(120))
        return True
    print(__doc__)
    return False


sys.exit(0 if main(sys.argv[1:]) else 1)
