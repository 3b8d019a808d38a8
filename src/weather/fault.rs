//! What is wrong in a weather file.

/// One thing wrong in a weather file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileFault {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// How many characters it covers.
    pub width: usize,
    /// What is wrong.
    pub what: String,
    /// What would mend it.
    pub remedy: String,
}

/// Everything wrong in a weather file, in the order of its lines.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FileFaults {
    list: Vec<FileFault>,
    count: usize,
}

impl FileFaults {
    /// A file that is wrong all over is not listed beyond this.
    const MOST: usize = 1000;

    /// The faults; of a file that is wrong all over the first thousand.
    pub fn as_slice(&self) -> &[FileFault] {
        &self.list
    }

    /// How many there are, listed or not.
    pub const fn count(&self) -> usize {
        self.count
    }

    /// Notes a fault; what explains it is only asked for while there is room.
    pub(super) fn add(&mut self, fault: impl FnOnce() -> FileFault) {
        self.count += 1;
        if self.list.len() < Self::MOST {
            self.list.push(fault());
        }
    }

    /// What was read, unless something was wrong.
    pub(super) fn unless_any<T>(mut self, read: Option<T>) -> Result<T, Self> {
        match read {
            Some(read) if self.count == 0 => Ok(read),
            _ => {
                self.list.sort_by_key(|fault| (fault.line, fault.column));
                Err(self)
            }
        }
    }
}
