// The board in a real browser, with a clock of our own: node tests/board/browser.mjs BOARD.html PROGRAM FOLDER [FOLDER FOR PICTURES]
// FOLDER holds the demo class as `course`. BENCHROLL_BROWSER names a folder with node_modules/playwright-core and node_modules/axe-core;
// Chromium is the machine's own. BENCHROLL_CHECKS chooses checks by a part of their names.
import { leave } from "./browser/support.mjs";

for (const part of ["looks", "class", "live", "hands", "open", "unknown", "record", "clock"]) await import(`./browser/${part}.mjs`);
await leave();
