"""A general physics engine as second opinion on the bodies.

Builds the body of data/body/ in MuJoCo's own format and hangs it in the hinge angles that
`kindfold posture NAME --format json` prints. For every posture:

- the places of the joints, laid over the printed ones by one rigid turn and shift: 1 mm;
- the centre of mass: 2 mm;
- every contact's spheres on their surface: 5 mm;
- every hinge within its limits: 1 degree;
- the forces of data/settled.json at the contact points: they push, keep within friction, and hold the
  engine's body still in all six equations within 0.5 % of body weight;
- where the contacts lie in two groups (hands and feet, or the left and the right foot …): the body,
  stiffened, is let down on its contact spheres, and each group's share is compared: 2 % of body weight.

The last asks what rigid statics may leave open: where in a foot or hand the weight stands, and how much two
surfaces push sideways against each other. A stiff body on springs and a person who is economical answer
differently, and both may be right. So the least and the greatest share that equilibrium allows is worked out
too (a linear programme over the same contact points). A share that differs by more than 2 % is a fault unless
both lie in a range that is itself wider than 2 %. Then the kept table lists it with that range: `friction`
where the range closes without friction, else `where it presses`. A stiff body that falls (it balances on a
line, or a wall holds it only while pressed) is listed too, its share against the range alone.

usage: bodies.py KINDFOLD TABLE [--write]
A posture that is open or falls must stand so in the table; --write writes the table anew.
"""

import json
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import mujoco
import numpy as np
import yaml
from scipy.optimize import linprog

ROOT = Path(__file__).resolve().parents[2]
JOINT_MM = 1.0
CENTRE_MM = 2.0
CONTACT_MM = 5.0
LIMIT_DEG = 1.0
SHARE_PCT = 2.0
# A stiff body that moved further than this fell: it balances on a line, or a wall holds it only while pressed.
FELL_MM = 50.0
# What the body's own check allows in every row of equilibrium, in body weights and metres of them.
BALANCE = 0.005
# Rounding of the printed hinges (0.01 degree) and places (0.1 mm).
ROUNDING_MM = 0.2
# Newtons do not matter: shares are of the whole.
MASS_KG = 65.0
REST_S = 3.0


class Loader(yaml.SafeLoader):
    """YAML 1.2 as the tables are written: `on` is a word, not a truth value."""


Loader.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in rows if tag != "tag:yaml.org,2002:bool"]
    for letter, rows in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def read(name):
    text = (ROOT / "data/body" / f"{name}.yaml").read_text(encoding="utf-8")
    table = yaml.load(text, Loader)
    for row in table.get("segments", []) + table.get("spheres", []) if name != "contacts" else []:
        row["sided"] = row["sided"] == "true"
    return table


class Table:
    """data/body/, sided rows doubled, in metres."""

    def __init__(self, stature):
        def sided(row):
            return [("_left", 1.0), ("_right", -1.0)] if row["sided"] else [("", 1.0)]

        hinges = read("hinges")["hinges"]
        limb = False
        self.hinges = []
        for row in hinges:
            limb = limb or row["name"] == "shoulder.flex" or row["name"] == "hip.flex"
            row["sided"] = limb
        names = {row["name"]: row["sided"] for row in hinges}
        for row in hinges:
            for suffix, sign in sided(row):
                on = row["on"] + (suffix if names.get(row["on"]) else "")
                x, y, z = row["at"]
                a, b, c = row["axis"]
                self.hinges.append(
                    {
                        "name": row["name"] + suffix,
                        "on": on,
                        "at": np.array([x, sign * y, z]) * stature,
                        "axis": np.array([sign * a, b, sign * c], float),
                        "limits": row["limits_deg"],
                    }
                )

        def placed(rows):
            for row in rows:
                for suffix, sign in sided(row):
                    x, y, z = row["centre"]
                    on = row["on"] + (suffix if names.get(row["on"]) else "")
                    yield row, row["name"] + suffix, on, np.array([x, sign * y, z]) * stature

        self.spheres = {
            name: (on, centre, row["radius"] * stature)
            for row, name, on, centre in placed(read("spheres")["spheres"])
        }
        segments = list(placed(read("segments")["segments"]))
        total = sum(sum(row["mass_pct"]) for row, *_ in segments)
        self.masses = [(on, centre, sum(row["mass_pct"]) / total) for row, _, on, centre in segments]
        contacts = read("contacts")
        self.patches = contacts["patches"]
        self.surfaces = contacts["surfaces"]
        self.other_friction = {"any": contacts["any_height_friction"], "head": contacts["head_friction"]}

    def surface(self, word):
        """Height (None for a wall), the way it pushes, friction."""
        if word in self.surfaces:
            row = self.surfaces[word]
            if "height_m" in row:
                return row["height_m"], np.array([0.0, 0, 1]), row["friction"]
            way = 1.0 if row["faces"] == "forward" else -1.0
            return None, np.array([way, 0, 0]), row["friction"]
        return int(word[1:]) / 100, np.array([0.0, 0, 1]), self.other_friction["any"]


def numbers(values):
    return " ".join(repr(float(v)) for v in values)


def jointed(table):
    """The whole body with its hinges, its pelvis in the origin."""
    children = {}
    for hinge in table.hinges:
        children.setdefault(hinge["on"], []).append(hinge)

    def body(part, place, hinges):
        # Hinges in one place one after another are joints of one body, the first outermost.
        lines = [f'<body name="{part}" pos="{numbers(place)}">']
        for hinge in hinges:
            lines.append(f'<joint name="{hinge["name"]}" type="hinge" axis="{numbers(hinge["axis"])}"/>')
        parts = [hinge["name"] for hinge in hinges] or ["pelvis"]
        for on, centre, share in table.masses:
            if on in parts:
                lines.append(
                    f'<geom type="sphere" size="0.01" pos="{numbers(centre)}" mass="{share * MASS_KG!r}" '
                    'contype="0" conaffinity="0"/>'
                )
        for name, (on, centre, _) in table.spheres.items():
            if on in parts:
                lines.append(f'<site name="{name}" pos="{numbers(centre)}"/>')
        for child in [hinge for own in parts for hinge in children.get(own, [])]:
            if child["name"] in parts:
                continue
            chain = [child]
            while True:
                same = [h for h in children.get(chain[-1]["name"], []) if not np.any(h["at"])]
                if len(same) != 1 or len(children.get(chain[-1]["name"], [])) != 1:
                    break
                chain.append(same[0])
            lines += body(chain[-1]["name"], child["at"], chain)
        return lines + ["</body>"]

    # The toes carry no mass of their own; a moving part of MuJoCo must have some.
    text = "\n".join(
        ["<mujoco>", '<compiler angle="radian" boundmass="1e-9" boundinertia="1e-9"/>', "<worldbody>"]
        + body("pelvis", [0, 0, 0], [])
        + ["</worldbody>", "</mujoco>"]
    )
    return mujoco.MjModel.from_xml_string(text)


def rigid(model_places, printed_places):
    """The turn and shift that lays one set of places over the other (Kabsch)."""
    a, b = model_places.mean(0), printed_places.mean(0)
    u, _, v = np.linalg.svd((model_places - a).T @ (printed_places - b))
    flip = np.diag([1, 1, np.sign(np.linalg.det(v.T @ u.T))])
    turn = v.T @ flip @ u.T
    return turn, b - turn @ a


class Posed:
    """The jointed body in one posture's hinges, laid over its printed joints."""

    def __init__(self, table, model, node):
        self.table, self.node = table, node
        data = mujoco.MjData(model)
        for name, degrees in node["hinges"].items():
            data.joint(name).qpos[0] = np.radians(degrees)
        mujoco.mj_kinematics(model, data)
        mujoco.mj_comPos(model, data)
        names = sorted(node["joints"])
        raw = np.array([data.site(name.replace("fingertip", "tip")).xpos for name in names])
        printed = np.array([node["joints"][name] for name in names])
        self.turn, self.shift = rigid(raw, printed)
        off = np.linalg.norm(self.world(raw) - printed, axis=1) * 1000
        self.joint_mm, self.joint = max(zip(off, names))
        self.centre = self.world(data.subtree_com[1])
        self.centre_mm = np.linalg.norm(self.centre - np.array(node["com"])) * 1000
        self.spheres = {name: self.world(data.site(name).xpos) for name in table.spheres}
        masses = [(data.xipos[i], model.body_mass[i]) for i in range(1, model.nbody)]
        self.masses = [(self.world(place), mass) for place, mass in masses if mass > 1e-6]

    def world(self, places):
        return places @ self.turn.T + self.shift

    def contacts(self):
        """Every bearing contact sphere: group, place of touch, push, friction, gap to its surface."""
        for contact in self.node["contacts"]:
            base, _, side = contact["point"].partition("_")
            patch = self.table.patches[base]
            group = patch["counts_as"]
            height, push, friction = self.table.surface(contact["surface"])
            if group == "head":
                friction = self.table.other_friction["head"]
            for sphere in patch["spheres"]:
                name = f"{sphere}_{side}" if side else sphere
                centre, radius = self.spheres[name], self.table.spheres[name][2]
                touch = centre - push * radius
                # The crown is a point; an engine's sphere has a size.
                radius = max(radius, 1e-3)
                centre = touch + push * radius
                gap = touch @ push - (height or 0.0)
                yield {
                    "group": group + ("" if height is not None else " at the wall"),
                    "side": side,
                    "centre": centre,
                    "radius": radius,
                    "touch": touch,
                    "push": push,
                    "friction": friction,
                    "gap_mm": abs(gap) * 1000,
                    "light": contact["light"],
                }


def force_faults(posed, points, forces):
    """What is wrong with the kept forces on the engine's body, and how far they miss equilibrium, %."""
    flip = np.array([1, -1 if posed.node["side"] == "right" else 1, 1])
    forces = [np.array(force) * flip / 100 for force in forces]
    if len(forces) != len(points):
        return ["the kept forces are not one for each contact point"], 0.0
    faults = []
    turning, total = np.zeros(3), np.array([0.0, 0.0, -1.0])
    for p, force in zip(points, forces):
        into = force @ p["push"]
        sideways = np.linalg.norm(force - into * p["push"])
        if into < -1e-3 or sideways > p["friction"] * into + 1e-3:
            faults.append(f"a force of {p['group']} pulls or slides")
        if p["light"] and np.any(force):
            faults.append(f"a light contact of {p['group']} carries")
        total += force
        turning += np.cross(p["touch"] - posed.centre, force)
    missed = max(np.abs(total).max(), np.abs(turning).max()) * 100
    # Forces are kept to 0.01 %, places to 0.1 mm.
    if missed > BALANCE * 100 + 0.1:
        faults.append(f"the kept forces miss equilibrium by {missed:.2f} %")
    return faults, missed


def two_groups(node, points):
    """Name of every bearing point's group, when there are two: by what carries, else by side."""
    kinds = sorted({p["group"] for p in points})
    if len(kinds) == 2:
        return kinds, [p["group"] for p in points]
    if len(kinds) == 1:
        sides = sorted({p["side"] for p in points})
        if len(sides) == 2:
            names = [f"{kinds[0]} {side}" for side in sides]
            return names, [f"{p['group']} {p['side']}" for p in points]
    return None


def printed_shares(node, table, kinds):
    shares = dict.fromkeys(kinds, 0.0)
    for contact in node["contacts"]:
        base, _, side = contact["point"].partition("_")
        group = table.patches[base]["counts_as"]
        if table.surface(contact["surface"])[0] is None:
            group += " at the wall"
        key = group if group in shares else f"{group} {side}"
        if key in shares:
            shares[key] += contact["load_pct"]
    return shares


def rest(posed, points, groups):
    """Lets the stiffened body down on its spheres, each on a level or upright plane of its own at the height
    where the posture has it; gives the share of each group in % and how far the body moved, mm."""
    lines = [
        "<mujoco>",
        '<option timestep="0.002" cone="elliptic" impratio="20" iterations="50" tolerance="1e-12"/>',
        "<worldbody>",
    ]
    pairs = []
    for i, p in enumerate(points):
        x, y, z = p["touch"]
        facing = "1 0 0 0" if p["push"][2] else numbers([np.sqrt(0.5), 0, p["push"][0] * np.sqrt(0.5), 0])
        lines.append(f'<geom name="plane{i}" type="plane" size="1 1 0.1" pos="{numbers([x, y, z])}" quat="{facing}"/>')
        mu = p["friction"]
        pairs.append(
            f'<pair geom1="plane{i}" geom2="sphere{i}" condim="3" friction="{mu} {mu} 0.005 0.0001 0.0001" '
            'solref="0.02 1" solimp="0.99 0.99 0.001 0.5 2"/>'
        )
    lines.append('<body name="body"><freejoint/>')
    for place, mass in posed.masses:
        lines.append(
            f'<geom type="sphere" size="0.01" pos="{numbers(place)}" mass="{float(mass)!r}" contype="0" conaffinity="0"/>'
        )
    for i, p in enumerate(points):
        lines.append(
            f'<geom name="sphere{i}" type="sphere" size="{float(p["radius"])!r}" pos="{numbers(p["centre"])}" '
            'mass="0" contype="0" conaffinity="0"/>'
        )
    lines += ["</body>", "</worldbody>", "<contact>", *pairs, "</contact>", "</mujoco>"]
    model = mujoco.MjModel.from_xml_string("\n".join(lines))
    # Only the pairs touch.
    model.geom_contype[:] = 0
    model.geom_conaffinity[:] = 0
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    begun = data.subtree_com[0].copy()
    steps = int(REST_S / model.opt.timestep)
    mujoco.mj_step(model, data, steps)
    mujoco.mj_forward(model, data)
    moved = np.linalg.norm(data.subtree_com[0] - begun) * 1000
    loads = dict.fromkeys(groups, 0.0)
    force = np.zeros(6)
    which = {model.geom(f"sphere{i}").id: i for i in range(len(points))}
    for c in range(data.ncon):
        contact = data.contact[c]
        mujoco.mj_contactForce(model, data, c, force)
        i = which.get(contact.geom2, which.get(contact.geom1))
        loads[groups[i]] += force[0]
    weight = MASS_KG * 9.81
    return {name: load / weight * 100 for name, load in loads.items()}, moved


def allowed(posed, points, groups, wanted, friction=True):
    """The least and the greatest share of one group that statics allows, %, with the 0.5 % of body weight that
    the body's own check allows; None when nothing holds it."""
    columns, cost = [], []
    for p, group in zip(points, groups):
        across = [np.array([0.0, 1, 0]), np.array([0.0, 0, 1]) if not p["push"][2] else np.array([1.0, 0, 0])]
        for k in range(16 if friction else 1):
            angle = k * np.pi / 8
            sideways = np.cos(angle) * across[0] + np.sin(angle) * across[1]
            force = p["push"] + (p["friction"] if friction else 0.0) * sideways
            columns.append(np.concatenate([force, np.cross(p["touch"] - posed.centre, force)]))
            cost.append(1.0 if group == wanted else 0.0)
    effect = np.array(columns).T
    equal = np.array([0.0, 0, 1, 0, 0, 0])
    bounds = np.concatenate([equal + BALANCE, BALANCE - equal])
    ends = []
    for sign in (1, -1):
        found = linprog(sign * np.array(cost), A_ub=np.vstack([effect, -effect]), b_ub=bounds, method="highs")
        if not found.success:
            return None
        ends.append(sign * found.fun * 100)
    return ends


def look(table, model, node, forces):
    """One posture's line of the table, its faults, and how its shares compare."""
    posed = Posed(table, model, node)
    faults = []
    if posed.joint_mm > JOINT_MM + ROUNDING_MM:
        faults.append(f"{posed.joint} is {posed.joint_mm:.2f} mm off")
    if posed.centre_mm > CENTRE_MM:
        faults.append(f"the centre of mass is {posed.centre_mm:.2f} mm off")
    for hinge in table.hinges:
        low, high = hinge["limits"]
        degrees = node["hinges"][hinge["name"]]
        if not low - LIMIT_DEG <= degrees <= high + LIMIT_DEG:
            faults.append(f"{hinge['name']} stands at {degrees}, its limits are {low} and {high}")
    everything = list(posed.contacts())
    gap = max((p["gap_mm"] for p in everything), default=0.0)
    if gap > CONTACT_MM + ROUNDING_MM:
        faults.append(f"a contact is {gap:.1f} mm off its surface")
    line = f"{node['id']:44} joints {posed.joint_mm:4.2f} mm  centre {posed.centre_mm:4.2f} mm  contacts {gap:3.1f} mm"
    if forces is not None:
        wrong, missed = force_faults(posed, everything, forces)
        faults += wrong
        line += f"  forces {missed:4.2f} %"
    points = [p for p in everything if not p["light"]]
    split = two_groups(node, points)
    if split is None:
        return line, faults, "many"
    kinds, groups = split
    ours = printed_shares(node, table, kinds)
    theirs, moved = rest(posed, points, groups)
    worst = max(kinds, key=lambda kind: abs(ours[kind] - theirs[kind]))
    off = abs(ours[worst] - theirs[worst])
    line += f"  {worst}: ours {ours[worst]:5.1f}  theirs {theirs[worst]:5.1f}"
    if off <= SHARE_PCT:
        return line, faults, "agree"
    ends = allowed(posed, points, groups, worst)
    if ends is None:
        faults.append(f"{worst} {ours[worst]:.1f} against {theirs[worst]:.1f} %, and no forces hold it still")
        return line, faults, "fault"
    low, high = ends
    smooth = allowed(posed, points, groups, worst, friction=False)
    fell = moved > FELL_MM
    inside = all(low - 0.5 <= share <= high + 0.5 for share in [ours[worst]] + ([] if fell else [theirs[worst]]))
    line += f"  statics allows {low:.0f} to {high:.0f}"
    if not inside or (high - low <= SHARE_PCT and not fell):
        faults.append(
            f"{worst} {ours[worst]:.1f} against {theirs[worst]:.1f} %; equilibrium allows {low:.1f} to {high:.1f}; "
            f"the stiff body moved by {moved:.0f} mm"
        )
        return line, faults, "fault"
    if fell:
        return line, faults, "falls"
    by_friction = smooth is None or smooth[1] - smooth[0] <= SHARE_PCT
    return line, faults, "open: friction" if by_friction else "open: where it presses"


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    program, kept, write = sys.argv[1], Path(sys.argv[2]), "--write" in sys.argv

    def ask(*words):
        told = subprocess.run([program, *words, "--format", "json"], capture_output=True, text=True, check=True)
        return json.loads(told.stdout)

    ids = [row["id"] for row in ask("postures")["postures"]]
    with ThreadPoolExecutor(2) as pool:
        nodes = sorted(pool.map(lambda name: ask("posture", name), ids), key=lambda node: node["id"])
    kept_forces = json.loads((ROOT / "data/settled.json").read_text(encoding="utf-8"))
    table = Table(nodes[0]["stature_m"])
    model = jointed(table)
    listed = set() if write else set(re.findall(r"^(\S+).*\[((?:open|falls).*)\]$", kept.read_text("utf-8"), re.M))
    lines, faults, counts = [], [], {}
    for node in nodes:
        # A movement shows its first end, which has forces of its own under another name.
        settled = kept_forces.get(node["id"])
        line, wrong, kind = look(table, model, node, settled and settled["settled"]["forces_pct"])
        if not write and kind.startswith(("open", "falls")) and (node["id"], kind) not in listed:
            wrong.append(f"“{kind}” is not in the kept table: {line}")
        counts[kind.split(":")[0]] = counts.get(kind.split(":")[0], 0) + 1
        lines.append(f"{line}  [{kind}]")
        faults += [f"{node['id']}: {fault}" for fault in wrong]
    head = (
        f"# {len(nodes)} postures. Shares of two groups: {counts.get('agree', 0)} agree within {SHARE_PCT} %, "
        f"{counts.get('open', 0)} are left open by statics, {counts.get('falls', 0)} fall when stiff, "
        f"{counts.get('fault', 0)} are faults; {counts.get('many', 0)} have one group or more than two."
    )
    print(head)
    if write:
        kept.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    for fault in faults:
        print(fault)
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
