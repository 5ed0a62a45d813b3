//! Every storage key, file name and delay of the page, in one place.

/// What all our keys begin with: the origin's 5 MiB are shared with other projects on the same host.
pub const PREFIX: &str = "layshaft/";
/// One key per machine: this and the machine's id.
pub const MACHINE: &str = "layshaft/machine/";
/// The sheets that belong to no machine, as one record.
pub const LOOSE: &str = "layshaft/loose";
/// What stood in a loose sheet before a link was opened there: this and the sheet's id.
pub const BEFORE: &str = "layshaft/before/";
/// "paper", "night", or nothing for the device's own choice.
pub const THEME: &str = "layshaft/theme";
/// Written at the start to learn whether storage works; gone once the site's data was cleared.
pub const PROBE: &str = "layshaft/probe";

/// Milliseconds from the last change to its writing.
pub const WRITE_AFTER_MS: i32 = 300;
/// Milliseconds without a key press after which a message about an entry appears.
pub const TELL_AFTER_MS: i32 = 600;
/// Milliseconds without a key press after which the headline is read aloud.
pub const SPEAK_AFTER_MS: i32 = 1000;
/// The largest file that is read as a log.
pub const LARGEST_LOG_FILE: f64 = 2_000_000.0;
/// The largest file that is read as a backup: all that an origin may keep, and several logs that it does not keep.
pub const LARGEST_BACKUP: f64 = 20_000_000.0;
/// The longest log that is stored, in bytes: about 6,000 rows, a fiftieth of what an origin may keep.
pub const LONGEST_LOG: usize = 100_000;
/// The longest name of a machine or part, in characters.
pub const LONGEST_NAME: usize = 80;
/// How a record begins, also in a file of several.
pub const RECORD_HEAD: &str = "layshaft machine ";
