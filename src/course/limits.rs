//! How much is believed of a course folder. Beyond it a file is refused, or the run ends, in words: a slip of the hand, or of
//! somebody who means ill, must not fill a small machine. A table of them stands in DEVELOPERS.md.

/// The largest text file, in bytes: the demo class has 60 kB in all.
pub const TEXT_BYTES: u64 = 4 << 20;
/// The largest template or font, in bytes: a font with every script has 20 MB.
pub const OTHER_BYTES: u64 = 64 << 20;
/// The largest photograph, in bytes: a camera's best has 40 MB.
pub const PHOTOGRAPH_BYTES: u64 = 128 << 20;
/// The largest list of people that is brought in, in bytes.
pub const LIST_BYTES: u64 = 16 << 20;
/// What a workbook that is brought in may unfold to, in bytes: it is packed, and a small one can hold any amount of nothing.
pub const UNPACKED_BYTES: u64 = 64 << 20;
/// The most rows and columns of such a workbook's sheet.
pub const LIST_ROWS: usize = 10_000;
/// See [`LIST_ROWS`].
pub const LIST_COLUMNS: usize = 200;
/// The most files of a course.
pub const FILES: usize = 5_000;
/// The deepest folder within a folder.
pub const FOLDERS_DEEP: usize = 8;

/// The most people on a roll, whoever comes: a thousand took 12 GB to print.
pub const PEOPLE: usize = 500;
/// The largest state of a day that a board saves or sends, in bytes: a long day's ticks are a tenth of it.
pub const STATE_BYTES: usize = 1 << 20;
/// The most entries of one list or table of a file: ingredients, steps, tins.
pub const ENTRIES: usize = 1_000;
/// The most lessons of a course, and its most sessions.
pub const LESSONS: usize = 50;
/// The most steps of a lesson.
pub const STEPS: usize = 200;
/// The most pieces of a lesson, of the whole class together: ways to share out ten thousand took minutes.
pub const PIECES: u32 = 2_000;
/// The most of one thing: stations, tins, pieces.
pub const COUNTED: u32 = 10_000;

/// The most pixels of a photograph: more than a telephone takes, less than fills a small machine's memory.
pub const PIXELS: u64 = 100_000_000;
/// The most memory that one photograph may take as it is opened, in bytes.
pub const PIXEL_BYTES: u64 = 512 << 20;

/// How long no page may come to its end, in seconds: the longest of a large class takes a tenth of it on an old machine.
pub const PAGE_SECONDS: u64 = 120;
/// How much memory the making of pages may take, in bytes: those of 500 people take less.
pub const PAGE_MEMORY: u64 = 8 << 30;
/// How much memory a run may take at all, in bytes, where the system tells how much it takes.
pub const PROGRAM_MEMORY: u64 = 12 << 30;
/// How many steps a text or HTML template may take: the board of the demo class takes some hundred.
pub const TEMPLATE_STEPS: u64 = 2_000_000;
