// Looks whether something was printed anew, and shows that.
const made = document.body.dataset.made;
setInterval(async () => {
  try {
    const state = await (await fetch("/state")).json();
    if (String(state.made) !== made) location.reload();
  } catch {
    // The program has stopped; the page stays as it is.
  }
}, 200);
