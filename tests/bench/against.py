"""Asks the plain typesetter or the CP-SAT solver, each on one thread, and tells how long it took: see against.rs."""

import json
import sys
import time


def typeset(main, root, fonts, out):
    import typst

    begin = time.perf_counter()
    typst.compile(
        main,
        output=out,
        root=root,
        font_paths=[fonts],
        ignore_system_fonts=True,
        pdf_standards="ua-1",
    )
    return {"seconds": time.perf_counter() - begin}


def shop(jobs):
    from ortools.sat.python import cp_model

    begin = time.perf_counter()
    model = cp_model.CpModel()
    horizon = sum(takes for job in jobs for _, takes in job)
    machines = {}
    ends = []
    for job in jobs:
        before = 0
        for machine, takes in job:
            start = model.new_int_var(0, horizon, "")
            machines.setdefault(machine, []).append(
                model.new_fixed_size_interval_var(start, takes, "")
            )
            model.add(start >= before)
            before = start + takes
        ends.append(before)
    for spans in machines.values():
        model.add_no_overlap(spans)
    last = model.new_int_var(0, horizon, "")
    model.add_max_equality(last, ends)
    model.minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status == cp_model.OPTIMAL
    return {"value": int(solver.objective_value), "seconds": time.perf_counter() - begin}


if sys.argv[1] == "typeset":
    print(json.dumps(typeset(*sys.argv[2:])))
else:
    print(json.dumps(shop(json.load(sys.stdin))))
