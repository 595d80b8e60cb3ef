// The whole day: a lane for everybody and everything, time to the right, a line that moves.

const LANE = { head: 150, minute: 5.2, row: 44, group: 26, top: 30 };

function drawLanes(f) {
  const day = shownDay();
  const lanes = [];
  for (const group of ["people", "stations", "mixers", "ovens"]) {
    const rows = rowsIn(group);
    if (rows.length) lanes.push({ group }, ...rows.map((row) => ({ row, work: workOf(row, f) })));
  }
  const to = Math.max(day.to, ...lanes.flatMap((l) => (l.work ?? []).map((w) => Math.min(w.to, day.to + 120))));
  const from = Math.floor(day.from / 30) * 30;
  const end = Math.ceil(to / 30) * 30;
  const x = (minute) => (minute - from) * LANE.minute;
  const height = LANE.top + lanes.reduce((sum, l) => sum + (l.row ? LANE.row : LANE.group), 0);
  const width = x(end) + 10;
  const picture = svg("svg", { class: "lanes", width, height, viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": says("lanes-alt", { day: day.name || day.date }) });
  for (let minute = from; minute <= end; minute += 30) {
    picture.append(svg("line", { x1: x(minute), x2: x(minute), y1: LANE.top, y2: height, class: minute % 60 ? "half" : "hour" }),
      svg("text", { x: x(minute) + 3, y: LANE.top - 10, class: minute % 60 ? "half" : "hour" }, clockText(minute)));
  }
  // The heads stay where they are while the day is pushed along.
  const heads = svg("svg", { class: "lanes heads", width: LANE.head, height, "aria-hidden": "true" });
  let y = LANE.top;
  for (const lane of lanes) {
    if (!lane.row) {
      heads.append(svg("text", { x: 0, y: y + LANE.group - 7, class: "group" }, word(`lane.${lane.group}`)));
      y += LANE.group;
      continue;
    }
    for (const half of [picture, heads]) half.append(svg("line", { x1: 0, x2: width, y1: y + LANE.row, y2: y + LANE.row, class: "under" }));
    const broken = state().failed.has(lane.row.key);
    const name = broken ? [cutInside(lane.row.name, 16), says("out-of-order")] : lane.row.name.length > 16 && lane.row.name.includes(" ") ? twoLines(lane.row.name) : [cut(lane.row.name, 16)];
    name.forEach((part, n) => heads.append(svg("text", { x: 0, y: y + (name.length > 1 ? 19 : 28) + 17 * n, class: broken && n ? "out" : "name" }, part)));
    for (const a of awayOf(lane.row, day)) {
      const [left, right] = [x(a.from), x(Math.min(a.to, end))];
      const room = Math.floor((right - left - 6) / 8.2);
      const text = says(a.pause ? "off" : "not-here");
      picture.append(svg("g", { class: `block ${a.pause ? "is-off" : "is-away"}` },
        svg("rect", { x: left, y: y + 4, width: Math.max(3, right - left - 1), height: LANE.row - 9 }),
        room > 1 ? svg("svg", { x: left, y: y + 4, width: right - left - 1, height: LANE.row - 9 }, svg("text", { x: 4, y: (LANE.row - 8) / 2 + 4.5 }, cut(text, room))) : null,
        svg("title", {}, `${text}, ${clockText(a.from)}–${clockText(a.to)}`)));
    }
    lanesOf(lane.work.filter((w) => w.part !== "eye" && w.to > day.from && w.from < end)).forEach((w) => {
      const [left, right] = [x(Math.max(w.from, from)), x(Math.min(w.to, end))];
      const tall = (LANE.row - 8) / w.of;
      const top = y + 4 + w.at * tall;
      const room = Math.floor((right - left - 6) / 8.2);
      picture.append(svg("g", { class: `block is-${w.task.tone} ${w.state}` },
        svg("rect", { x: left, y: top, width: Math.max(3, right - left - 1), height: tall - 1 }),
        room > 1 ? svg("svg", { x: left, y: top, width: right - left - 1, height: tall - 1 }, svg("text", { x: 4, y: tall / 2 + 4.5 }, cut(blockText(w, lane.row, room), room))) : null,
        svg("title", {}, `${taskFull(w.task)}, ${clockText(w.from)}–${clockText(w.to)}`)));
    });
    y += LANE.row;
  }
  picture.append(svg("line", { class: "lanes-line", y1: LANE.top - 6, y2: height, "data-from": from, "data-x": 0 }));
  return el("div", { class: "lanes-view" },
    el("div", { class: "lanes-scroll", tabindex: "0", role: "region", "aria-label": says("view-lanes") }, heads, picture));
}

/** What stands in a block: the step; and of what it is, or for whom, where another is called the same. */
function blockText(w, row, room) {
  if (w.part !== "all") return says(w.part === "in" ? "put-in" : "take-out");
  const { whom } = w.task;
  if (row.group !== "stations" && titles.get(taskTitle(w.task)) > 1 && whom) {
    const short = [...whom.stations, whom.stage ? word("whom.stage-short") : "", whom.spare ? word("whom.spare-short") : ""];
    const tail = ` (${short.filter(Boolean).join(", ")})`;
    return cut(w.task.name, Math.max(3, room - tail.length)) + tail;
  }
  return w.task.of && (w.alike || (w.of === 1 && room > 24)) ? taskTitle(w.task) : w.task.name;
}

/** Work that overlaps in one lane lies on rows of its own. */
function lanesOf(work) {
  const placed = [];
  for (const w of work) {
    const taken = new Set(placed.filter((p) => p.to > w.from + 0.5 && p.from < w.to - 0.5).map((p) => p.at));
    let at = 0;
    while (taken.has(at)) at += 1;
    placed.push({ ...w, at });
  }
  return placed.map((p) => {
    const with_ = placed.filter((q) => q.to > p.from + 0.5 && q.from < p.to - 0.5);
    return { ...p, of: 1 + Math.max(...with_.map((q) => q.at)), alike: with_.some((q) => q !== p && q.task.name === p.task.name) };
  });
}

/** A long name on two lines. */
function twoLines(name) {
  const words = name.split(" ");
  let half = 1;
  while (half < words.length - 1 && words.slice(0, half).join(" ").length < name.length / 2 - 2) half += 1;
  return [words.slice(0, half).join(" "), words.slice(half).join(" ")].map((part) => cut(part, 16));
}

function cut(text, letters) {
  return text.length <= letters ? text : `${text.slice(0, Math.max(1, letters - 1))}…`;
}

/** The same, with its end left: what sets one of a kind apart stands there. */
function cutInside(text, letters) {
  return text.length <= letters ? text : `${text.slice(0, letters / 2)}…${text.slice(1 - letters / 2)}`;
}

function moveLanesLine(at) {
  const line = document.querySelector(".lanes-line");
  if (!line) return;
  const x = Number(line.dataset.x) + (at - Number(line.dataset.from)) * LANE.minute;
  line.setAttribute("x1", x);
  line.setAttribute("x2", x);
}

/** Scrolls to the line. */
function toTheLine() {
  const place = document.querySelector(".lanes-scroll");
  const line = document.querySelector(".lanes-line");
  if (place && line) place.scrollLeft = Number(line.getAttribute("x1")) - (place.clientWidth - LANE.head) / 3;
}
