// Count-downs that ring: when something that stands, bakes or pauses is over, and hands are needed.

let sound = null;
const ringing = new Map();
let lastRound = 0;

/** A browser makes no sound before somebody has touched the page. */
function wakeSound() {
  try {
    sound ??= new (window.AudioContext || window.webkitAudioContext)();
    if (sound.state === "suspended") sound.resume();
  } catch {
    sound = null;
  }
}
for (const gesture of ["pointerdown", "keydown"]) addEventListener(gesture, wakeSound, { passive: true });

const soundIsOn = () => sound !== null && sound.state === "running";

/** Three notes. */
function chime() {
  if (!soundIsOn()) return;
  [660, 880, 660].forEach((pitch, n) => {
    const [tone, loud] = [sound.createOscillator(), sound.createGain()];
    const at = sound.currentTime + n * 0.28;
    tone.frequency.value = pitch;
    loud.gain.setValueAtTime(0.0001, at);
    loud.gain.exponentialRampToValueAtTime(0.4, at + 0.03);
    loud.gain.exponentialRampToValueAtTime(0.0001, at + 0.26);
    tone.connect(loud).connect(sound.destination);
    tone.start(at);
    tone.stop(at + 0.27);
  });
}

/** What has a bell: what bakes, pauses, or stands within the day until hands take it up. */
function bellOf(task, d, day) {
  const stands = data.slips.tasks[task.n][2];
  if (d.to < day.from || d.to > day.to + 180) return false;
  if (stands) return d.to - d.from <= 180 && task.tone === "waits";
  return task.tone === "pause" || (task.tone === "waits" && task.ends);
}

/** Rings what has come due since the last look. */
function listen() {
  if (!shown) return;
  const at = nowMinute();
  const day = today();
  let fresh = false;
  for (const task of data.tasks) {
    const d = shown.doing.get(task.id);
    if (!bellOf(task, d, day) || at < d.due || at > d.due + 10 || (d.state === "over" && !d.byItself) || state().done.has(task.id)) continue;
    if (record.rung.includes(task.id)) continue;
    record.rung.push(task.id);
    const text = says(task.ends ? "rings-bake" : task.tone === "pause" ? "rings-pause" : "rings-stand", { task: taskFull(task) });
    ringing.set(task.id, { key: task.id, text, since: Date.now(), until: task.ends ? Infinity : Date.now() + 60000 });
    document.getElementById("alarm").textContent = text;
    fresh = true;
  }
  for (const [key, r] of ringing) {
    if (Date.now() > r.until || state().done.has(key)) {
      ringing.delete(key);
      fresh = true;
    }
  }
  if (fresh) {
    keep();
    drawSoon();
  }
  // What waits for hands in a hot oven rings again every 20 seconds.
  if (ringing.size && (fresh || Date.now() - lastRound > 20000)) {
    lastRound = Date.now();
    chime();
  }
}

const ringingNow = () => [...ringing.values()];
function silence(keys) {
  for (const key of keys) ringing.delete(key);
  document.getElementById("alarm").textContent = "";
  draw();
}
function silenceTask(id) {
  ringing.delete(id);
}
