"""Random plans with their expected dates, for the tests of the scheduler.

Run: python plans.py   (writes plans.json beside this file, prints what the plans cover)
Working days come from numpy and `holidays` (working_days.py), graph work from networkx.
A second derivation checks the first inside this script; see the check_* functions.
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
SEED, PLANS = 19480612, 200


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


class Plan:
    def __init__(self, burn, today, closed, tasks, anchor):
        self.B, self.T, self.closed, self.tasks, self.anchor = burn, today, closed, tasks, anchor
        self.wd = WorkingDays(closed)
        self.graph = nx.DiGraph()
        self.graph.add_nodes_from(range(len(tasks)))
        self.later = [[] for _ in tasks]
        for i, t in enumerate(tasks):
            for j, lag, basis in t.links:
                self.graph.add_edge(j, i)
                self.later[j].append((i, lag, basis))
        self.order = list(nx.topological_sort(self.graph))
        self.after_burn = nx.descendants(self.graph, anchor)
        self.before_burn = set(range(len(tasks))) - self.after_burn - {anchor}

    # --- single dates -----------------------------------------------------------------------

    def is_(self, i, *states):
        return self.tasks[i].progress in states

    def lead_date(self, i, burn):
        t, wd = self.tasks[i], self.wd
        if t.lead_basis == WORK:
            return wd.before(burn, t.lead) if t.lead >= 0 else wd.after(burn, -t.lead)
        x = burn - t.lead
        if t.basis == WORK:
            x = wd.back(x) if t.lead >= 0 else wd.fwd(x)
        return x

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
            b = finish + t.lead
        elif t.lead > 0:
            b = self.wd.nth_from(finish, t.lead) + 1
        else:
            # Not simply `finish`: a calendar task may finish on a closed day, and the lead
            # date of a burn on that closed day is the working day before it.
            b = self.wd.fwd(finish)
        assert self.lead_date(i, b) >= finish > self.lead_date(i, b - 1)
        return b

    # --- forward ----------------------------------------------------------------------------

    def earliest(self, i, es, ef):
        t, wd, T = self.tasks[i], self.wd, self.T
        if t.progress == DONE:
            return t.date, t.date
        if t.progress == SKIPPED:
            f = max((ef[j] for j, _, _ in t.links), default=T - 1)
            return f, f
        if t.progress == STARTED:
            finish = max(self.run(i, t.date)[1], T)
            return t.date, wd.fwd(finish) if t.basis == WORK else finish
        return self.run(i, max([T] + [self.link_step(ef, l) for l in t.links]))

    def forward(self):
        n = len(self.tasks)
        es, ef = [None] * n, [None] * n
        for i in self.order:  # nothing before the burn depends on the anchor, so it can wait
            if i in self.before_burn:
                es[i], ef[i] = self.earliest(i, es, ef)
        # What each task asks of the burn day: {task: [(day, reason)]}, in index order.
        into_anchor = {l[0]: l for l in self.tasks[self.anchor].links}
        self.asks = {}
        for i in sorted(self.before_burn):
            t, asks = self.tasks[i], []
            if i in into_anchor:
                asks.append((self.link_step(ef, into_anchor[i]), "link"))
            if not self.is_(i, DONE, SKIPPED):
                asks.append((ef[i] + 1, "finish+1") if t.lead >= 1 else (ef[i], "finish"))
                if t.notice and t.lead >= 0:
                    kind = "calendar" if t.lead_basis == CAL else "working" if t.lead else "working 0"
                    asks.append((self.notice_burn(i, ef[i]), "notice " + kind))
            if asks:
                self.asks[i] = asks
        self.floor = max([self.T] + [d for asks in self.asks.values() for d, _ in asks])
        es[self.anchor] = ef[self.anchor] = max(self.B, self.floor)
        for i in self.order:
            if i in self.after_burn:
                es[i], ef[i] = self.earliest(i, es, ef)
        self.es, self.ef = es, ef

    # --- backward ---------------------------------------------------------------------------

    def usual_finish(self):
        """Finishes after a burn on B with every task run at once, whatever the day is today."""
        uf = {self.anchor: self.B}
        for i in self.order:
            if i in self.after_burn:
                links = [l for l in self.tasks[i].links if l[0] in uf]
                if self.is_(i, SKIPPED):
                    uf[i] = max(uf[j] for j, _, _ in links)
                else:
                    uf[i] = self.run(i, max(self.link_step(uf, l) for l in links))[1]
        return uf

    def backward(self, burn, own_limit):
        """Latest (start, finish, bounded); own_limit(i) is what task i's own deadline allows."""
        n = len(self.tasks)
        ls, lf, bounded = [burn] * n, [burn] * n, [True] * n
        uf = self.usual_finish()
        for i in reversed(self.order):
            if i == self.anchor:
                continue
            t, skipped = self.tasks[i], self.is_(i, SKIPPED)
            limits = [] if skipped else [own_limit(i)]
            for k, lag, basis in self.later[i]:
                if self.is_(k, DONE) or (i in self.before_burn and k in self.after_burn):
                    continue
                if self.is_(k, SKIPPED):
                    # A skipped task that nothing bounds has no limit to hand on.
                    limits += [lf[k]] if bounded[k] else []
                else:
                    limits.append(self.unstep(ls[k], 0 if skipped else lag, basis))
            bounded[i] = bool(limits)
            f = min(limits, default=burn)
            if t.basis == WORK and not skipped:
                f = self.wd.back(f)
            if i in self.after_burn:
                f = max(f, uf[i])
            lf[i] = f
            ls[i] = f if skipped else self.run_back(i, f)
            if i in self.after_burn and f == uf[i] and limits and min(limits) < f:
                self.floored_by_usual.add(i)
        return ls, lf, bounded

    # --- what is read off the dates -----------------------------------------------------------

    def slack(self, i):
        if self.is_(i, DONE, SKIPPED):
            return None
        if self.tasks[i].basis == CAL:
            return self.lf[i] - self.ef[i]
        return self.wd.count(0, self.lf[i]) - self.wd.count(0, self.ef[i])

    def standing(self, i):
        if i == self.anchor or self.is_(i, DONE, SKIPPED):
            return None
        lf, ef = self.lf[i], self.ef[i]
        if lf < self.T:
            return "late"
        if (ef if self.is_(i, STARTED) else self.run(i, self.T)[1]) > lf:
            return "impossible"
        # Ranks rather than count(ef+1, lf+1), whose negative side counts another interval.
        if self.wd.count(0, lf + 1) - self.wd.count(0, ef + 1) <= 2:
            return "at_risk"
        return "on_time"

    def find_chain(self):
        chain, notes, T = [], [], self.T
        asks = {i: max(d for d, _ in a) for i, a in self.asks.items()}
        top = max(asks.values(), default=T)
        if top <= T:
            return [], ["set by today"]
        firsts = [i for i, d in asks.items() if d == top]
        if len(firsts) > 1:
            notes.append("tie for the floor")
        i = min(firsts)
        while True:
            links = self.tasks[i].links
            if self.is_(i, DONE):
                notes.append("ends at a done task" if chain else "empty: a done task sets the floor")
                break
            if self.is_(i, SKIPPED):
                notes.append("through skipped" if chain else "skipped sets the floor")
                allowed = {j: self.ef[j] + 1 for j, _, _ in links}
            else:
                chain.append(i)
                if self.is_(i, STARTED):
                    notes.append("starts at a started task")
                    break
                allowed = {l[0]: self.link_step(self.ef, l) for l in links}
            best = max(allowed.values(), default=T)
            if best <= T:
                notes.append("starts today")
                break
            ties = [j for j, s in allowed.items() if s == best]
            if len(ties) > 1:
                notes.append("tie on a link")
            i = min(ties)
        return chain[::-1], notes

    def solve(self):
        self.floored_by_usual = set()
        self.forward()
        self.ls, self.lf, self.bounded = self.backward(self.B, lambda i: self.lead_date(i, self.B))
        self.spare = self.B - self.floor
        n = range(len(self.tasks))
        self.slacks = [self.slack(i) for i in n]
        self.standings = [self.standing(i) for i in n]
        self.chain, self.chain_notes = self.find_chain()
        return self

    def all_dates(self):
        yield from (self.B, self.T, self.floor)
        yield from self.closed
        for i, t in enumerate(self.tasks):
            yield from (self.es[i], self.ef[i], self.ls[i], self.lf[i], self.lead_date(i, self.B))
            if t.date is not None:
                yield t.date


# --- second derivations ---------------------------------------------------------------------


def all_calendar_todo(p):
    return all(
        t.basis == t.lead_basis == CAL and t.progress == TODO and all(l[2] == CAL for l in t.links)
        for t in p.tasks
    )


def check_longest_paths(p):
    """Earliest starts are longest paths from today, when all is calendar days and to do."""
    g = nx.DiGraph()
    for i, t in enumerate(p.tasks):
        g.add_edge("today", i, weight=0)
        for j, lag, _ in t.links:
            g.add_edge(j, i, weight=p.tasks[j].dur + lag)
    for i in p.before_burn:
        t = p.tasks[i]
        w = t.dur - 1 + max(t.lead >= 1, t.lead if t.notice else 0)
        g.add_edge(i, p.anchor, weight=max(w, g.get_edge_data(i, p.anchor, {"weight": 0})["weight"]))

    def longest_to(i):
        return p.T + nx.dag_longest_path_length(g.subgraph(nx.ancestors(g, i) | {i}))

    assert longest_to(p.anchor) == p.floor
    g["today"][p.anchor]["weight"] = max(p.B - p.T, 0)
    for i, t in enumerate(p.tasks):
        assert longest_to(i) == p.es[i] and p.es[i] + t.dur - 1 == p.ef[i]


def check_floor_is_least(p):
    """Counting back from FLOOR every task before the burn fits; from the day before, one does not.

    Only for plans without started or done tasks, whose dates are facts and need not fit.
    """

    def fits(burn):
        def own_limit(i):
            t = p.tasks[i]
            implied = burn - 1 if t.lead >= 1 else burn
            return min(implied, p.lead_date(i, burn)) if t.notice and t.lead >= 0 else implied

        _, lf, bounded = p.backward(burn, own_limit)
        return all(p.ef[i] <= lf[i] for i in p.before_burn if bounded[i])

    assert fits(p.floor)
    if p.floor > p.T:
        assert not fits(p.floor - 1)


def check_chain(p):
    """The chain is a path in the graph (through skipped tasks at most) and every step is tight."""
    skipped = {i for i, t in enumerate(p.tasks) if t.progress == SKIPPED}
    assert not skipped & set(p.chain) and p.anchor not in p.chain

    def direct(a, b):
        return next((l for l in p.tasks[b].links if l[0] == a), None)

    for a, b in zip(p.chain, p.chain[1:]):
        assert nx.has_path(p.graph.subgraph(skipped | {a, b}), a, b)
        options = [p.ef[a] + 1]  # by way of skipped tasks no lag applies
        if direct(a, b):
            options.append(p.link_step(p.ef, direct(a, b)))
        assert p.es[b] in [p.run(b, s)[0] for s in options if s > p.T]
    if p.chain:
        last, first = p.chain[-1], p.chain[0]
        into_anchor = {j for j, _, _ in p.tasks[p.anchor].links}
        if max((d for d, _ in p.asks[last]), default=0) < p.floor:
            assert nx.has_path(p.graph.subgraph(skipped | {last, p.anchor}), last, p.anchor)
            assert skipped & into_anchor and p.ef[last] + 1 == p.floor
        assert p.is_(first, STARTED) or p.es[first] >= p.T
        assert all(p.is_(i, TODO) for i in p.chain[1:])


# --- making plans ---------------------------------------------------------------------------

PROFILES = ["fresh", "calendar", "underway", "underway", "ready", "past", "skippy", "ties",
            "waiting", "notices"]


def make_tasks(rng, profile, n):
    """Tasks in an order in which links only point to lower numbers; the anchor's number."""
    cal_only = profile == "calendar"
    basis = lambda share: WORK if not cal_only and rng.random() < share else CAL
    anchor = max(1, int(n * rng.uniform(0.6, 0.95)))
    depth_window = max(6, n // 6)  # how far back links reach: keeps big plans from being endless
    longest = 3 if profile == "ties" else rng.choice([5, 10, 20])
    span = rng.choice([20, 60, 120, 240])

    def duration():
        return rng.randint(1, longest) if rng.random() < 0.93 else rng.randint(15, 45)

    def link(j):
        if rng.random() < (0.85 if profile == "ties" else 0.6):
            return j, 0, basis(0.5)
        return j, rng.randint(1, 10) if rng.random() < 0.9 else rng.randint(11, 45), basis(0.5)

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
        t = Task(duration(), basis(0.5), 0, basis(0.5))
        if i < anchor:
            t.lead = max(0, round(span * (1 - i / anchor) * rng.uniform(0.3, 1.3)))
            if rng.random() < (0.3 if profile == "skippy" else 0.05):
                t.lead = 0
            elif rng.random() < 0.02:
                t.lead = -rng.randint(1, 30)  # due after the burn, yet not waiting for it
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
            # A few tasks placed late do not wait for the burn after all.
            sources = [rng.choice(range(anchor, i))] if rng.random() < 0.95 else []
        wanted = rng.choice([0, 1, 1, 2, 2, 3]) if i < anchor else rng.choice([0, 0, 1, 2])
        sources = set(sources) | set(rng.sample(pool, min(len(pool), wanted)))
        t.links = [link(j) for j in sorted(sources)]
        tasks.append(t)
    return tasks, anchor


def add_progress(rng, profile, tasks, anchor):
    """Sets states; dates are still offsets from today. Mostly in order, some out of order."""
    if profile in ("fresh", "calendar"):
        return
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
            t.links = [
                (j, lag + rng.randint(20, 60), b) if tasks[j].progress == DONE and rng.random() < 0.5 else (j, lag, b)
                for j, lag, b in t.links
            ]
        if rng.random() < 0.6:
            done = [j for j in range(anchor) if tasks[j].progress == DONE]
            linked = {l[0] for l in tasks[anchor].links}
            tasks[anchor].links += [(j, rng.randint(40, 120), CAL) for j in done[-1:] if j not in linked]


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
    days = set(rng.sample(range(lo, hi), min(rng.randint(1, 12), hi - lo)))
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
    tasks, anchor = shuffle(rng, tasks, anchor)
    dates = [t.date for t in tasks]

    def at(today, closed):
        for t, d in zip(tasks, dates):
            t.date = None if d is None else today + d
        return Plan(burn, today, closed, tasks, anchor)

    # How long the plan takes, roughly, decides where today goes: from late to ample spare.
    length = at(burn, [])
    length.solve()
    length = length.floor - burn
    if profile == "past":
        today = burn + rng.randint(1, 60)
    elif rng.random() < 0.2:
        today = burn - length + rng.randint(-4, 4)
    else:
        today = burn - int(length * rng.uniform(0.6, 1.6)) - rng.randint(0, 5)
    today = min(today, burn + 60)
    closed = [] if profile == "calendar" else make_closed(rng, min(today, burn) - 40, max(today, burn) + 60)
    return at(today, closed).solve()


def check(p):
    check_chain(p)
    if all_calendar_todo(p):
        check_longest_paths(p)
    if all(t.progress in (TODO, SKIPPED) for t in p.tasks):
        check_floor_is_least(p)


# --- what the plans cover -------------------------------------------------------------------


def cover(p, c):
    c["plan: spare > 0" if p.spare > 0 else "plan: spare < 0" if p.spare < 0 else "plan: spare = 0"] += 1
    c["plan: today after the burn day"] += p.T > p.B
    c["plan: extra closed days"] += bool(p.closed)
    c["plan: all calendar and to do (longest path checked)"] += all_calendar_todo(p)
    c["plan: nothing started or done (least floor checked)"] += all(t.progress in (TODO, SKIPPED) for t in p.tasks)
    c["plan: index order is not topological"] += any(l[0] > i for i, t in enumerate(p.tasks) for l in t.links)
    if p.floor == p.T:
        c["floor: today"] += 1
        c["floor: today, tied with a task"] += any(d == p.T for a in p.asks.values() for d, _ in a)
    else:
        for why in {why for a in p.asks.values() for d, why in a if d == p.floor}:
            c["floor: " + why] += 1
    for note in set(p.chain_notes):
        c["chain: " + note] += 1
    for i, t in enumerate(p.tasks):
        side = "after-burn" if i in p.after_burn else "before-burn"
        if i == p.anchor:
            continue
        state = ("todo", "started", "done", "skipped")[t.progress]
        c[f"task: {side} {state}"] += 1
        if p.standings[i]:
            c[f"standing: {side} {state} {p.standings[i]}"] += 1
        if t.progress == SKIPPED:
            c["skipped: " + ("with" if t.links else "without") + " earlier tasks"] += 1
            c["skipped: nothing bounds it"] += not p.bounded[i]
            c["skipped: nothing bounds it, yet it has a live earlier task"] += not p.bounded[i] and any(
                p.is_(j, TODO, STARTED) for j, _, _ in t.links)
        live = t.progress in (TODO, STARTED)
        c[f"task: {side} lead >= 0" if t.lead >= 0 else f"task: {side} lead < 0"] += 1
        c["task: " + ("working" if t.basis else "calendar") + " duration, "
          + ("working" if t.lead_basis else "calendar") + " lead"] += 1
        c["task: notice, live, before-burn"] += live and t.notice and side == "before-burn"
        c["task: notice working lead 0, finish on a closed day"] += (
            live and side == "before-burn" and t.notice and t.lead == 0 and t.lead_basis == WORK
            and not p.wd.is_working(p.ef[i]))
        c["after-burn: LF floored by USUAL"] += i in p.floored_by_usual
        c["after-burn: LF later than USUAL"] += i in p.after_burn and p.lf[i] > p.usual_finish()[i]
        for j, lag, basis in t.links:
            if lag:
                c["link: " + ("working" if basis else "calendar") + " lag"] += 1
                c["link: lag dropped at a skipped task"] += p.is_(i, SKIPPED) or p.is_(j, SKIPPED)
            c["link: before-burn to after-burn"] += j in p.before_burn and i in p.after_burn
            c["link: into a done task from a live one (out of order)"] += p.is_(i, DONE) and p.is_(j, TODO, STARTED)
            c["link: into a started task from a todo one (out of order)"] += p.is_(i, STARTED) and p.is_(j, TODO)
            c["link: skipped to skipped"] += p.is_(i, SKIPPED) and p.is_(j, SKIPPED)
        if t.progress == STARTED:
            c["started: on a closed day, working basis"] += t.basis == WORK and not p.wd.is_working(t.date)
            c["started: overrun, finish moved to today"] += p.run(i, t.date)[1] < p.T
    for l in p.tasks[p.anchor].links:
        state = ("todo", "started", "done", "skipped")[p.tasks[l[0]].progress]
        c[f"anchor link: from {state}"] += 1
        c["anchor link: working lag"] += l[1] > 0 and l[2] == WORK


FORMAT = {
    "dates": "days since 1970-01-01",
    "plan": "burn, today, closed (extra closed days), anchor (index), tasks, floor, spare, dates, chain",
    "tasks": "[dur, basis, lead, lead_basis, notice, progress, progress_date|null, links]",
    "links": "[earlier task index, lag, lag_basis]; in no particular order",
    "basis": "0 calendar, 1 working (also lead_basis, lag_basis)",
    "notice": "0 no, 1 yes",
    "progress": "0 todo, 1 started, 2 done, 3 skipped",
    "dates_columns": "expected per task: [earliest start, earliest finish, latest start, latest finish (due), slack|null, standing|null]",
    "chain": "task indices, first to last, without the anchor",
}


def plan_json(p):
    return json.dumps(
        {
            "burn": p.B,
            "today": p.T,
            "closed": p.closed,
            "anchor": p.anchor,
            "tasks": [
                [t.dur, t.basis, t.lead, t.lead_basis, int(t.notice), t.progress, t.date, t.links]
                for t in p.tasks
            ],
            "floor": p.floor,
            "spare": p.spare,
            "dates": [list(r) for r in zip(p.es, p.ef, p.ls, p.lf, p.slacks, p.standings)],
            "chain": p.chain,
        },
        separators=(",", ":"),
    )


def main():
    rng, lo, hi = random.Random(SEED), num(FIRST), num(LAST)
    plans, coverage, redrawn = [], Counter(), 0
    while len(plans) < PLANS:
        p = make_plan(rng, len(plans))
        if not all(lo <= d <= hi for d in p.all_dates()):
            redrawn += 1
            continue
        check(p)
        cover(p, coverage)
        plans.append(p)
    Path(__file__).with_name("plans.json").write_text(
        '{"format":' + json.dumps(FORMAT, separators=(",", ":"))
        + ',\n"plans":[\n' + ",\n".join(map(plan_json, plans)) + "\n]}\n"
    )
    for key in sorted(coverage):
        print(f"{coverage[key]:6} {key}")
    sizes = [len(p.tasks) for p in plans]
    print(len(plans), "plans,", sum(sizes), "tasks,", sum(s >= 100 for s in sizes), "of 100 or more;", redrawn, "redrawn")


if __name__ == "__main__":
    main()
