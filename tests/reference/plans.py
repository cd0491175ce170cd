"""Random plans with their expected dates, for the tests of the scheduler.

Run: python plans.py   (writes plans.json beside this file, prints what the plans cover)
Working days come from numpy and `holidays` (working_days.py), graph work from networkx.

Plan computes the dates; the check_* functions derive them a second time, another way;
make_plan and the functions before it draw the plans; cover counts which rules they touch.
"""
import json
import random
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

import networkx as nx

from working_days import FEDERAL, FIRST, LAST, WorkingDays, num

CAL, WORK = 0, 1
TODO, STARTED, DONE, SKIPPED = range(4)
STATE = ("todo", "started", "done", "skipped")
STANDINGS = ("late", "impossible", "at_risk", "on_time")
SEED, PLANS = 102, 200  # a seed with which every rule that cover() counts occurs at least 3 times


@dataclass
class Task:
    dur: int
    basis: int
    lead: int
    lead_basis: int
    notice: bool = False
    progress: int = TODO
    date: int | None = None  # of a started or done task
    links: list = field(default_factory=list)  # (earlier task, lag, lag basis)


def link_graph(tasks):
    g = nx.DiGraph()
    g.add_nodes_from(range(len(tasks)))
    g.add_edges_from((j, i) for i, t in enumerate(tasks) for j, _, _ in t.links)
    return g


class Plan:
    def __init__(self, burn, today, closed, tasks, anchor):
        self.B, self.T, self.closed, self.tasks, self.anchor = burn, today, closed, tasks, anchor
        self.wd = WorkingDays(closed)
        self.links = [list(t.links) for t in tasks]  # the given ones and the implied ones
        self.graph = link_graph(tasks)
        self.after_burn, self.implied = set(), set()
        # Earlier tasks come first here, so a task behind an implied link does not get its own.
        for i in list(nx.topological_sort(self.graph)):
            if any(j == anchor or j in self.after_burn for j in self.graph.predecessors(i)):
                self.after_burn.add(i)
            elif tasks[i].lead < 0:
                self.after_burn.add(i)
                self.implied.add(i)
                self.links[i].append((anchor, 0, CAL))
                self.graph.add_edge(anchor, i)
        self.order = list(nx.topological_sort(self.graph))  # fails on a ring
        self.before_burn = set(range(len(tasks))) - self.after_burn - {anchor}

    # --- single dates -----------------------------------------------------------------------

    def is_(self, i, *states):
        return self.tasks[i].progress in states

    def lead_date(self, i, burn):
        t, wd = self.tasks[i], self.wd
        if t.lead_basis == WORK:
            return wd.before(burn, t.lead) if t.lead >= 0 else wd.after(burn, -t.lead)
        x = burn - t.lead
        if t.notice and i in self.before_burn and not self.is_(i, DONE):
            return wd.back(x)  # no office opens a notice on a closed day
        if t.basis == CAL:
            return x
        return wd.back(x) if t.lead >= 0 else wd.fwd(x)

    def step(self, f, lag, basis):
        """First day a successor may start after finish f."""
        if basis == WORK and lag > 0:
            return self.wd.after(f, lag) + 1
        return f + lag + 1

    def unstep(self, s, lag, basis):
        """Latest finish f with step(f) <= s."""
        f = self.wd.before(s, lag) - 1 if basis == WORK and lag > 0 else s - 1 - lag
        assert self.step(f, lag, basis) <= s < self.step(f + 1, lag, basis)
        return f

    def link_step(self, finish, link):
        """STEP along a link into a task that is not skipped; a skipped source carries no lag."""
        j, lag, basis = link
        return self.step(finish[j], 0 if self.is_(j, SKIPPED) else lag, basis)

    def run(self, i, start):
        """(start, finish) of task i when it may start on `start`."""
        t = self.tasks[i]
        if t.basis == CAL:
            return start, start + t.dur - 1
        return self.wd.fwd(start), self.wd.nth_from(start, t.dur)

    def run_back(self, i, finish):
        t = self.tasks[i]
        return finish - t.dur + 1 if t.basis == CAL else self.wd.nth_back_from(finish, t.dur)

    def notice_burn(self, i, finish):
        """Smallest burn day whose lead date for i is not before `finish`."""
        t = self.tasks[i]
        if t.lead_basis == CAL:
            b = self.wd.fwd(finish) + t.lead
        elif t.lead > 0:
            b = self.wd.nth_from(finish, t.lead) + 1
        else:
            # Not simply `finish`: a calendar task may finish on a closed day, and the lead
            # date of a burn on that closed day is the working day before it.
            b = self.wd.fwd(finish)
        assert self.lead_date(i, b) >= finish > self.lead_date(i, b - 1)
        return b

    # --- forward ----------------------------------------------------------------------------

    def earliest(self, i, ef):
        """(start, finish) of task i, given the finishes of its earlier tasks."""
        t, T = self.tasks[i], self.T
        if t.progress == DONE:
            return t.date, t.date
        if t.progress == SKIPPED:
            f = max((ef[j] for j, _, _ in self.links[i]), default=T - 1)
            return f, f
        if t.progress == STARTED:
            finish = max(self.run(i, t.date)[1], T)
            return t.date, self.wd.fwd(finish) if t.basis == WORK else finish
        return self.run(i, max([T] + [self.link_step(ef, l) for l in self.links[i]]))

    def asks_of_burn(self, i):
        """What a before-burn task asks of the burn day: [(day, reason)]."""
        t, f = self.tasks[i], self.ef[i]
        asks = [(self.link_step(self.ef, l), "link") for l in self.links[self.anchor] if l[0] == i]
        if t.progress in (TODO, STARTED):
            asks.append((f + 1, "finish+1") if t.lead >= 1 else (f, "finish"))
            if t.notice:
                kind = "calendar" if t.lead_basis == CAL else "working" if t.lead else "working 0"
                asks.append((self.notice_burn(i, f), "notice " + kind))
        return asks

    def forward(self):
        self.es, self.ef = [None] * len(self.tasks), [None] * len(self.tasks)
        for i in self.order:  # nothing before the burn depends on the anchor, so it can wait
            if i in self.before_burn:
                self.es[i], self.ef[i] = self.earliest(i, self.ef)
        self.asks = {i: self.asks_of_burn(i) for i in sorted(self.before_burn)}
        self.asks = {i: a for i, a in self.asks.items() if a}
        self.floor = max([self.T] + [d for a in self.asks.values() for d, _ in a])
        self.es[self.anchor] = self.ef[self.anchor] = max(self.B, self.floor)
        for i in self.order:
            if i in self.after_burn:
                self.es[i], self.ef[i] = self.earliest(i, self.ef)

    # --- backward ---------------------------------------------------------------------------

    def usual_finish(self):
        """Finishes after a burn on B with every task run at once, whatever the day is today."""
        uf = {self.anchor: self.B}
        for i in self.order:
            if i in self.after_burn:
                links = [l for l in self.links[i] if l[0] in uf]
                if self.is_(i, SKIPPED):
                    uf[i] = max(uf[j] for j, _, _ in links)
                else:
                    uf[i] = self.run(i, max(self.link_step(uf, l) for l in links))[1]
        return uf

    def backward(self, burn, own_limit):
        """Latest (starts, finishes, limits); own_limit(i) is what task i's own deadline allows."""
        n = len(self.tasks)
        ls, lf, limit = [burn] * n, [burn] * n, [None] * n
        limit[self.anchor] = burn
        uf = self.usual_finish()
        for i in reversed(self.order):
            if i == self.anchor:
                continue
            t, skipped = self.tasks[i], self.is_(i, SKIPPED)
            limits = [] if skipped else [own_limit(i)]
            for k in self.graph.successors(i):
                if self.is_(k, DONE) or (i in self.before_burn and k in self.after_burn):
                    continue
                if self.is_(k, SKIPPED):
                    # A skipped task that nothing bounds has no limit to hand on.
                    limits += [lf[k]] if limit[k] is not None else []
                else:
                    _, lag, basis = next(l for l in self.links[k] if l[0] == i)
                    limits.append(self.unstep(ls[k], 0 if skipped else lag, basis))
            limit[i] = min(limits, default=None)
            f = min(limits, default=burn)
            if t.basis == WORK and not skipped:
                f = self.wd.back(f)
            if i in self.after_burn:
                f = max(f, uf[i])
            lf[i], ls[i] = f, f if skipped else self.run_back(i, f)
        return ls, lf, limit

    # --- what is read off the dates -----------------------------------------------------------

    def slack(self, i):
        if self.is_(i, DONE, SKIPPED):
            return None
        if self.tasks[i].basis == CAL:
            return self.lf[i] - self.ef[i]
        return self.wd.rank(self.lf[i]) - self.wd.rank(self.ef[i])

    def standing(self, i):
        if i == self.anchor or self.is_(i, DONE, SKIPPED):
            return None
        lf, ef = self.lf[i], self.ef[i]
        if lf < self.T:
            return "late"
        if (ef if self.is_(i, STARTED) else self.run(i, self.T)[1]) > lf:
            return "impossible"
        if self.wd.rank(lf + 1) - self.wd.rank(ef + 1) <= 2:
            return "at_risk"
        return "on_time"

    def find_chain(self):
        """The chain, and notes for the coverage on what decided it."""
        chain, notes, T = [], [], self.T
        if self.floor == T:
            return [], ["set by today"]
        firsts = [i for i, a in self.asks.items() if any(d == self.floor for d, _ in a)]
        notes += ["tie for the floor"] * (len(firsts) > 1)
        i = min(firsts)
        while True:
            if self.is_(i, DONE):
                notes.append("ends at a done task" if chain else "empty: a done task sets the floor")
                break
            if self.is_(i, SKIPPED):
                notes.append("through skipped" if chain else "skipped sets the floor")
                allowed = {j: self.ef[j] + 1 for j, _, _ in self.links[i]}
            else:
                chain.append(i)
                if self.is_(i, STARTED):
                    notes.append("starts at a started task")
                    break
                allowed = {l[0]: self.link_step(self.ef, l) for l in self.links[i]}
            best = max(allowed.values(), default=T)
            if best <= T:
                notes.append("starts today")
                break
            if self.is_(i, TODO) and self.tasks[i].basis == WORK:
                if any(s < best and self.wd.fwd(s) == self.wd.fwd(best) for s in allowed.values()):
                    notes.append("link differs only before rolling forward")
            ties = [j for j, s in allowed.items() if s == best]
            notes += ["tie on a link"] * (len(ties) > 1)
            i = min(ties)
        return chain[::-1], notes

    def solve(self):
        self.forward()
        self.ls, self.lf, self.limit = self.backward(self.B, lambda i: self.lead_date(i, self.B))
        self.spare = self.B - self.floor
        self.slacks = [self.slack(i) for i in range(len(self.tasks))]
        self.standings = [self.standing(i) for i in range(len(self.tasks))]
        self.chain, self.chain_notes = self.find_chain()
        return self


# --- second derivations ---------------------------------------------------------------------


def all_calendar_todo(p):
    bases = {b for t in p.tasks for b in (t.basis, t.lead_basis, *(l[2] for l in t.links))}
    return bases == {CAL} and all(t.progress == TODO for t in p.tasks)


def nothing_begun(p):
    return all(t.progress in (TODO, SKIPPED) for t in p.tasks)


def check_after_burn(p):
    """The sides by the definition; and what is after the burn moves nothing before it."""
    g = link_graph(p.tasks)
    due_after = {i for i, t in enumerate(p.tasks) if t.lead < 0}
    below = set().union(*(nx.descendants(g, i) for i in due_after | {p.anchor}))
    assert p.anchor not in due_after | below and p.after_burn == due_after | below
    assert p.implied == due_after - below

    # With the implied links written out nothing changes.
    tasks = [replace(t, links=p.links[i]) for i, t in enumerate(p.tasks)]
    q = Plan(p.B, p.T, p.closed, tasks, p.anchor).solve()
    assert not q.implied and results(q) == results(p)

    # With the after-burn tasks left out the rest stays the same.
    kept = [i for i in range(len(p.tasks)) if i not in p.after_burn]
    new = {i: k for k, i in enumerate(kept)}
    tasks = [replace(p.tasks[i], links=[(new[j], *l) for j, *l in p.tasks[i].links]) for i in kept]
    q = Plan(p.B, p.T, p.closed, tasks, new[p.anchor]).solve()
    dates = results(p)["dates"]
    assert q.floor == p.floor and q.chain == [new[i] for i in p.chain]
    assert results(q)["dates"] == [dates[i] for i in kept]


def check_longest_paths(p):
    """Earliest starts are longest paths from today, when all is calendar days and to do."""
    g = nx.DiGraph()

    def edge(a, b, days):
        g.add_edge(a, b, weight=max(days, g.get_edge_data(a, b, {"weight": 0})["weight"]))

    for i, t in enumerate(p.tasks):
        edge("today", i, 0)
        for j, lag, _ in t.links:
            edge(j, i, p.tasks[j].dur + lag)
        if t.lead < 0:
            edge(p.anchor, i, 1)
        elif i in p.before_burn:
            edge(i, p.anchor, t.dur - 1 + (t.lead >= 1))

    def longest_to(i):
        return p.T + nx.dag_longest_path_length(g.subgraph(nx.ancestors(g, i) | {i}))

    # A notice counts from a working day, which is no length of a path.
    notices = [p.wd.fwd(longest_to(i) + t.dur - 1) + t.lead
               for i, t in enumerate(p.tasks) if t.notice and i in p.before_burn]
    assert max([longest_to(p.anchor), *notices]) == p.floor
    g["today"][p.anchor]["weight"] = max(p.B, p.floor) - p.T
    for i, t in enumerate(p.tasks):
        assert longest_to(i) == p.es[i] and p.es[i] + t.dur - 1 == p.ef[i]


def check_floor_is_least(p):
    """Counting back from FLOOR every task before the burn fits; from the day before, one does not.

    Only for plans without started or done tasks, whose dates are facts and need not fit.
    """

    def fits(burn):
        def own_limit(i):
            t = p.tasks[i]
            by = burn - 1 if t.lead >= 1 else burn
            return min(by, p.lead_date(i, burn)) if t.notice else by

        _, lf, limit = p.backward(burn, own_limit)
        return all(p.ef[i] <= lf[i] for i in p.before_burn if limit[i] is not None)

    assert fits(p.floor)
    if p.floor > p.T:
        assert not fits(p.floor - 1)


def check_chain(p):
    """The chain is a path in the graph (through skipped tasks at most) and every step is tight."""
    skipped = {i for i, t in enumerate(p.tasks) if t.progress == SKIPPED}
    assert not skipped & set(p.chain) and p.anchor not in p.chain
    for a, b in zip(p.chain, p.chain[1:]):
        assert nx.has_path(p.graph.subgraph(skipped | {a, b}), a, b)
        options = [p.ef[a] + 1]  # by way of skipped tasks no lag applies
        options += [p.link_step(p.ef, l) for l in p.tasks[b].links if l[0] == a]
        assert p.es[b] in [p.run(b, s)[0] for s in options if s > p.T]
    if p.chain:
        last, first = p.chain[-1], p.chain[0]
        if all(d < p.floor for d, _ in p.asks[last]):
            assert nx.has_path(p.graph.subgraph(skipped | {last, p.anchor}), last, p.anchor)
            assert p.ef[last] + 1 == p.floor
        assert p.is_(first, STARTED) or p.es[first] >= p.T
        assert all(p.is_(i, TODO) for i in p.chain[1:])


def check(p):
    dates = {*p.es, *p.ef, *p.ls, *p.lf, *p.closed, *(p.lead_date(i, p.B) for i in p.order)}
    assert num(FIRST) <= min(dates) and max(dates) <= num(LAST)  # holidays are listed there only
    check_after_burn(p)
    check_chain(p)
    if all_calendar_todo(p):
        check_longest_paths(p)
    if nothing_begun(p):
        check_floor_is_least(p)


# --- making plans ---------------------------------------------------------------------------

PROFILES = ["fresh", "calendar", "underway", "underway", "ready", "past", "skippy", "ties",
            "waiting", "notices"]


def make_tasks(rng, profile, n):
    """Tasks in an order in which links only point to lower numbers; the anchor's number."""
    anchor = int(n * rng.uniform(0.6, 0.95))
    depth_window = max(6, n // 6)  # how far back links reach: keeps big plans from being endless
    longest = 3 if profile == "ties" else rng.choice([5, 10, 20])
    span = rng.choice([20, 60, 120, 240])

    def basis():
        return WORK if profile != "calendar" and rng.random() < 0.5 else CAL

    def link(j):
        if rng.random() < (0.85 if profile == "ties" else 0.6):
            return j, 0, basis()
        return j, rng.randint(1, 10) if rng.random() < 0.9 else rng.randint(11, 45), basis()

    tasks = []
    for i in range(n):
        if i == anchor:
            t = Task(1, CAL, 0, CAL)
            wanted = 8 if profile in ("ties", "skippy") else rng.choice([0, 1, 2, 4, 8])
            feeders = rng.sample(range(max(0, i - 3 * wanted), i), min(i, wanted))
            t.links = [link(j) for j in feeders]
            tasks.append(t)
            continue
        if profile == "ties" and i > 0 and i - 1 != anchor and rng.random() < 0.4:
            twin = tasks[-1]  # same everything as its neighbour, so they finish together
            tasks.append(replace(twin, links=list(twin.links)))
            continue
        dur = rng.randint(1, longest) if rng.random() < 0.93 else rng.randint(15, 45)
        t = Task(dur, basis(), 0, basis())
        if i < anchor:
            t.lead = max(0, round(span * (1 - i / anchor) * rng.uniform(0.3, 1.3)))
            if rng.random() < (0.3 if profile == "skippy" else 0.05):
                t.lead = 0
            elif rng.random() < 0.02:
                t.lead = -rng.randint(1, 30)  # due after the burn without a link to it
            t.notice = rng.random() < (0.4 if profile == "notices" else 0.12)
            if t.notice and rng.random() < 0.1:
                t.lead = 0
            pool, sources = range(max(0, i - depth_window), i), []
        else:
            t.lead = -rng.randint(1, 12) if rng.random() < 0.5 else -rng.randint(10, 150)
            if rng.random() < 0.03:
                t.lead = rng.randint(0, 5)
            t.notice = rng.random() < 0.05
            pool = [j for j in range(max(0, anchor - 5), i) if j != anchor]
            # A few tasks placed late have no link to the burn.
            sources = [rng.choice(range(anchor, i))] if rng.random() < 0.95 else []
        wanted = rng.choice([0, 1, 1, 2, 2, 3]) if i < anchor else rng.choice([0, 0, 1, 2])
        picked = set(sources) | set(rng.sample(pool, min(len(pool), wanted)))
        t.links = [link(j) for j in sorted(picked)]
        if i > anchor and not sources and rng.random() < 0.5:  # something else holds it up
            t.links = [(j, lag + rng.randint(20, 60), b) for j, lag, b in t.links]
        if profile == "ties":  # wait for both of two twins
            t.links += [
                (j - 1, lag, b) for j, lag, b in t.links
                if j > 0 and tasks[j - 1] == tasks[j] and j - 1 not in picked
            ]
        tasks.append(t)
    return tasks, anchor


def stage(rng, profile, tasks, anchor):
    """Sets up on purpose what chance alone would hardly ever bring about."""
    into_anchor = tasks[anchor].links

    def link_to_anchor(j, lag, basis):
        into_anchor[:] = [l for l in into_anchor if l[0] != j] + [(j, lag, basis)]

    x, y = tasks[anchor - 2], tasks[anchor - 1]
    if profile == "fresh":
        # Earlier tasks end on neighbouring days; over a weekend their successor starts on the
        # same Monday after either, but the chain must follow the one that ends last.
        w, length = tasks[anchor - 3], rng.randint(80, 150)
        for t, dur in ((w, length), (x, length + 1)):
            t.dur, t.basis, t.links = dur, CAL, []
        y.dur, y.basis = rng.randint(20, 60), WORK
        y.links = [(anchor - 3, 0, CAL), (anchor - 2, 0, CAL)]
        rng.shuffle(y.links)
    if profile == "skippy" and rng.random() < 0.6:
        # A long task holds up the burn through a skipped one only; both lags must be dropped.
        x.dur, x.lead, x.notice, x.progress, x.date = rng.randint(60, 150), 0, False, TODO, None
        y.progress, y.date = SKIPPED, None
        y.links = [l for l in y.links if l[0] != anchor - 2] + [(anchor - 2, 9, rng.choice([CAL, WORK]))]
        link_to_anchor(anchor - 1, 7, rng.choice([CAL, WORK]))
    if profile == "notices" and rng.random() < 0.8:
        # A notice due on the burn day itself, counted in working days, sets the floor.
        y.dur, y.basis, y.lead, y.lead_basis, y.notice = rng.randint(80, 200), CAL, 0, WORK, True
        y.progress, y.date = TODO, None
    if profile == "past" and rng.random() < 0.7:
        # Work after the burn, just begun: it may be in time, nearly late or too long.
        t = next((t for t in reversed(tasks) if t.lead < 0), y)
        t.dur, t.lead = rng.randint(10, 40), -rng.randint(20, 90)
        t.progress, t.date = STARTED, -rng.randint(0, 10)
    if profile == "ready" and y.progress == DONE and y.date < 0 and rng.random() < 0.5:
        link_to_anchor(anchor - 1, -y.date - 1, CAL)  # allows the burn today: a tie with today


def add_progress(rng, profile, tasks, anchor):
    """Sets states; dates are still offsets from today. Mostly in order, some out of order."""
    if profile in ("fresh", "calendar"):
        return
    # How far the work has come, as a share of what lies before the burn.
    reach = {"ready": 2.0, "skippy": 0.2, "ties": 0.2, "notices": 0.2}.get(profile, rng.uniform(0, 0.9))
    if profile == "past":
        reach = rng.choice([0.5, 1.3, 2.0])
    skip = 0.25 if profile == "skippy" else 0.05
    # In most "ready" plans nothing before the burn is left, so that only today sets the floor.
    ready_exceptions = profile == "ready" and rng.random() < 0.4
    for i, t in enumerate(tasks):
        if i == anchor:
            continue
        at, r = i / anchor, rng.random()
        if r < skip:
            t.progress = SKIPPED
        elif profile == "ready" and not ready_exceptions and (i < anchor or not t.links or t.lead >= 0):
            t.progress = DONE
        elif i > anchor:  # work on the after-burn side before the burn is rare
            if r < (0.3 if profile == "past" else 0.1):
                t.progress = rng.choice([STARTED, DONE])
        elif at < reach - 0.1:
            if r < 0.9:
                t.progress = DONE
            elif r < 0.97:
                t.progress = STARTED
        elif at < reach + 0.15:
            t.progress = rng.choice([DONE, STARTED, STARTED, TODO])
        elif r < skip + 0.06:
            t.progress = rng.choice([DONE, STARTED])
        if t.progress == DONE:
            t.date = -(rng.randint(0, 12) if profile == "waiting" else rng.randint(0, 120))
        elif t.progress == STARTED:
            t.date = -(rng.randint(0, 10) if rng.random() < 0.8 else rng.randint(10, 90))
    if profile == "waiting":  # a done task whose long lag holds things up
        for t in tasks[: anchor + 1]:
            for at, (j, lag, b) in enumerate(t.links):
                if tasks[j].progress == DONE and rng.random() < 0.5:
                    t.links[at] = (j, lag + rng.randint(20, 60), b)
        if rng.random() < 0.6:
            done = [j for j in range(anchor) if tasks[j].progress == DONE]
            linked = {l[0] for l in tasks[anchor].links}
            tasks[anchor].links += [(j, rng.randint(40, 120), CAL) for j in done[-1:] if j not in linked]


def keep_rings_out(tasks, anchor):
    """What the burn waits for cannot be due after it: that would make it wait for the burn."""
    for i in nx.ancestors(link_graph(tasks), anchor):
        tasks[i].lead = abs(tasks[i].lead)


def shuffle(rng, tasks, anchor):
    """Renumbers the tasks so that index order tells nothing about the links."""
    order = list(range(len(tasks)))
    rng.shuffle(order)
    new = {old: i for i, old in enumerate(order)}
    for t in tasks:
        t.links = [(new[j], lag, b) for j, lag, b in t.links]
        rng.shuffle(t.links)
    return [tasks[old] for old in order], new[anchor]


def make_closed(rng, lo, hi):
    if rng.random() < 0.6:
        return []
    days = set(rng.sample(range(lo, hi), rng.randint(1, 12)))
    if rng.random() < 0.5:  # a shutdown
        start = rng.randint(lo, hi)
        days |= set(range(start, start + rng.randint(3, 14)))
    near = [d for d in FEDERAL if lo <= d <= hi]
    days |= set(rng.sample(near, min(2, len(near))))  # closed twice over
    return sorted(days)


def make_plan(rng, index):
    profile = PROFILES[index % len(PROFILES)]
    # 30 large plans, spread over all profiles.
    n = rng.randint(100, 300) if index % 20 in (3, 10, 19) else rng.randint(10, 80)
    # A prime stride, so that profiles meet all years.
    burn = num(date(2026 + index * 7 % 24, 1, 1)) + rng.randint(0, 364)
    tasks, anchor = make_tasks(rng, profile, n)
    add_progress(rng, profile, tasks, anchor)
    stage(rng, profile, tasks, anchor)
    keep_rings_out(tasks, anchor)
    tasks, anchor = shuffle(rng, tasks, anchor)
    dates = [t.date for t in tasks]

    def at(today, closed):
        for t, d in zip(tasks, dates):
            t.date = None if d is None else today + d
        return Plan(burn, today, closed, tasks, anchor)

    # How long the plan takes, roughly, decides where today goes: from late to ample spare.
    length = at(burn, []).solve().floor - burn
    if profile == "past":
        today = burn + rng.randint(1, 60)
    elif rng.random() < 0.2:
        today = burn - length + rng.randint(-4, 4)
    else:
        today = burn - int(length * rng.uniform(0.6, 1.6)) - rng.randint(0, 5)
    closed = [] if profile == "calendar" else make_closed(rng, min(today, burn) - 40, max(today, burn) + 60)
    return at(today, closed).solve()


# --- what the plans cover -------------------------------------------------------------------


def cover(p, c):
    """Counts in c how often each rule occurs in p."""
    c["plan: spare " + ("= 0" if p.spare == 0 else "> 0" if p.spare > 0 else "< 0")] += 1
    c["plan: today after the burn day"] += p.T > p.B
    c["plan: extra closed days"] += bool(p.closed)
    c["plan: all calendar and to do (longest path checked)"] += all_calendar_todo(p)
    c["plan: nothing started or done (least floor checked)"] += nothing_begun(p)
    c["plan: with an implied link"] += bool(p.implied)
    c["plan: with an implied link, all calendar and to do"] += bool(p.implied) and all_calendar_todo(p)
    setters = {(i, why) for i, a in p.asks.items() for d, why in a if d == p.floor}
    if p.floor == p.T:
        c["floor: today"] += 1
        c["floor: today, tied with a task"] += bool(setters)
    else:
        c["floor: notice working 0, finish on a closed day"] += any(
            why == "notice working 0" and p.ef[i] < p.floor for i, why in setters)
        c.update({"floor: " + why for _, why in setters})
    c.update({"chain: " + note for note in p.chain_notes})
    for j, lag, basis in p.tasks[p.anchor].links:
        c["anchor link: from " + STATE[p.tasks[j].progress]] += 1
        c["anchor link: working lag"] += lag > 0 and basis == WORK

    linked = nx.descendants(link_graph(p.tasks), p.anchor)
    below = set().union(*(nx.descendants(p.graph, i) for i in p.implied))
    uf, burn = p.usual_finish(), p.ef[p.anchor]
    for i in p.before_burn | p.after_burn:
        t, after = p.tasks[i], i in p.after_burn
        state, sign = STATE[t.progress], ">= 0" if t.lead >= 0 else "< 0"
        kind = ("after-burn " if after else "before-burn ") + state
        todo, done, skipped = p.is_(i, TODO), p.is_(i, DONE), p.is_(i, SKIPPED)
        unbounded = p.limit[i] is None
        floored = not unbounded and p.limit[i] < p.lf[i]
        c["task: " + kind] += 1
        for s in () if done or skipped else STANDINGS:
            c[f"standing: {kind} {s}"] += p.standings[i] == s
        if skipped:
            c["skipped: " + ("with" if t.links else "without") + " earlier tasks"] += 1
            c["skipped: nothing bounds it, with a live earlier task"] += unbounded and any(
                p.is_(j, TODO, STARTED) for j, _, _ in t.links)
        if p.is_(i, STARTED):
            c["started: on a closed day, working basis"] += t.basis == WORK and not p.wd.is_working(t.date)
            c["started: overrun, finish moved to today"] += p.run(i, t.date)[1] < p.T
        if after:
            c["after-burn: lead " + sign] += 1
            c["after-burn: LF floored by USUAL"] += floored
            c["after-burn: LF later than USUAL"] += p.lf[i] > uf[i]
        elif t.notice and not (done or skipped):
            c["notice: before-burn, live"] += 1
            c["notice: working lead 0, finish on a closed day"] += (
                t.lead == 0 and t.lead_basis == WORK and not p.wd.is_working(p.ef[i]))
        if i in p.implied:
            c["implied link: " + state] += 1
            c["implied link: " + ("beside others" if t.links else "the only link")] += 1
            c["implied link: notice"] += t.notice
            c["implied link: LF floored by USUAL"] += floored
            c["implied link: another link sets the start"] += todo and p.es[i] > p.run(i, burn + 1)[0]
        elif i in below:
            key = "below an implied link: " + ("linked to the burn too" if i in linked else "lead " + sign)
            c[key] += 1
            c[key + ", starts by the burn day"] += todo and p.es[i] <= burn
        for j, lag, _ in t.links:
            c["link: lag dropped at a skipped task"] += lag > 0 and (skipped or p.is_(j, SKIPPED))
            c["link: before-burn to after-burn"] += after and j in p.before_burn
            c["link: into a done task from a live one"] += done and p.is_(j, TODO, STARTED)
            c["link: into a started task from a todo one"] += p.is_(i, STARTED) and p.is_(j, TODO)
            c["link: skipped to skipped"] += skipped and p.is_(j, SKIPPED)


FORMAT = {
    "dates": "days since 1970-01-01",
    "plan": "given: burn, today, closed (extra closed days), anchor (index), tasks; "
    "expected: floor, spare, dates, chain",
    "tasks": "[dur, basis, lead, lead_basis, notice, progress, progress_date|null, links]",
    "links": "[earlier task index, lag, lag_basis]; in no particular order; the implied links "
    "from the anchor (to tasks with lead < 0 that no link puts after the burn) are not listed",
    "basis": "0 calendar, 1 working (also lead_basis, lag_basis)",
    "notice": "0 no, 1 yes",
    "progress": "0 todo, 1 started, 2 done, 3 skipped",
    "dates_columns": "expected per task: [earliest start, earliest finish, latest start, "
    "latest finish (due), slack|null, standing|null]",
    "chain": "task indices, first to last, without the anchor",
}


def results(p):
    return {
        "floor": p.floor,
        "spare": p.spare,
        "dates": list(zip(p.es, p.ef, p.ls, p.lf, p.slacks, p.standings)),
        "chain": p.chain,
    }


def dump(x):
    return json.dumps(x, separators=(",", ":"))


def plan_json(p):
    return dump({
        "burn": p.B,
        "today": p.T,
        "closed": p.closed,
        "anchor": p.anchor,
        "tasks": [
            [t.dur, t.basis, t.lead, t.lead_basis, int(t.notice), t.progress, t.date, t.links]
            for t in p.tasks
        ],
        **results(p),
    })


def main():
    rng, coverage = random.Random(SEED), Counter()
    plans = [make_plan(rng, index) for index in range(PLANS)]
    for p in plans:
        check(p)
        cover(p, coverage)
    Path(__file__).with_name("plans.json").write_text(
        '{"format":' + dump(FORMAT) + ',\n"plans":[\n' + ",\n".join(map(plan_json, plans)) + "\n]}\n")
    assert min(coverage.values()) >= 3, min(coverage, key=coverage.get)
    for key in sorted(coverage):
        print(f"{coverage[key]:6} {key}")
    sizes = [len(p.tasks) for p in plans]
    print(len(plans), "plans,", sum(sizes), "tasks;", sum(s >= 100 for s in sizes), "plans of 100 or more")


if __name__ == "__main__":
    main()
