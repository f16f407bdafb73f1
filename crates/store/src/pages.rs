//! The pages of an SQLite file and of its write-ahead log, and the rows on them, read without SQLite: what is left of a file
//! when SQLite itself refuses it. Format: <https://www.sqlite.org/fileformat2.html>, sections 1.6, 2.1 and 4.

use std::collections::BTreeMap;

/// The usual size of a page, taken where the file's own header is damaged.
const USUAL: usize = 4096;
/// How a file begins.
const MAGIC: &[u8] = b"SQLite format 3\0";
/// Bytes of the file's header, on its first page.
const HEADER: usize = 100;
/// Bytes of the headers of the log, and of each frame in it.
const LOG_HEADER: usize = 32;
const FRAME_HEADER: usize = 24;

/// A field of a row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    Null,
    Int(i64),
    Text(String),
    /// A number or bytes of a kind that the log has none of.
    Other,
}

/// From which tree a row comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Leaf {
    Table,
    Index,
}

/// Pages by number, from 1.
pub(crate) struct Pages {
    size: usize,
    pages: BTreeMap<u32, Vec<u8>>,
}

impl Pages {
    /// Those of a file, each as the log has it last.
    pub(crate) fn of(file: &[u8], log: &[u8]) -> Self {
        let size = size(file, log);
        let numbered = (1..).zip(file.chunks_exact(size));
        let mut pages: BTreeMap<u32, Vec<u8>> =
            numbered.map(|(number, page)| (number, page.to_vec())).collect();
        let salts = log.get(16..24);
        for frame in log.get(LOG_HEADER..).unwrap_or_default().chunks_exact(FRAME_HEADER + size) {
            // A frame of an earlier turn of the log has other salts.
            if let (Some(number), true) = (big_endian(frame, 0), frame.get(8..16) == salts)
                && number > 0
            {
                pages.insert(number, frame[FRAME_HEADER..].to_vec());
            }
        }
        Self { size, pages }
    }

    /// Every row that can be read on a leaf.
    pub(crate) fn rows(&self) -> Vec<(Leaf, Vec<Value>)> {
        let mut rows = Vec::new();
        for (number, page) in &self.pages {
            let start = if *number == 1 { HEADER } else { 0 };
            let leaf = match page.get(start) {
                Some(0x0D) => Leaf::Table,
                Some(0x0A) => Leaf::Index,
                _ => continue,
            };
            let cells = short(page, start + 3).unwrap_or(0);
            for cell in 0..cells {
                let at = short(page, start + 8 + 2 * cell);
                if let Some(row) = at.and_then(|at| self.row(page, at, leaf)) {
                    rows.push((leaf, row));
                }
            }
        }
        rows
    }

    fn row(&self, page: &[u8], at: usize, leaf: Leaf) -> Option<Vec<Value>> {
        let (length, mut at) = varint(page, at)?;
        if leaf == Leaf::Table {
            (_, at) = varint(page, at)?;
        }
        let payload = self.payload(page, at, usize::try_from(length).ok()?, leaf)?;
        values(&payload)
    }

    /// What a cell holds, with what of it stands on other pages.
    fn payload(&self, page: &[u8], at: usize, length: usize, leaf: Leaf) -> Option<Vec<u8>> {
        let most = match leaf {
            Leaf::Table => self.size - 35,
            Leaf::Index => (self.size - 12) * 64 / 255 - 23,
        };
        if length <= most {
            return Some(page.get(at..at.checked_add(length)?)?.to_vec());
        }
        let least = (self.size - 12) * 32 / 255 - 23;
        let fitting = least + (length - least) % (self.size - 4);
        let local = if fitting <= most { fitting } else { least };
        let mut payload = page.get(at..at + local)?.to_vec();
        let mut next = big_endian(page, at + local)?;
        while payload.len() < length {
            let more = self.pages.get(&next)?;
            next = big_endian(more, 0)?;
            let wanted = (length - payload.len()).min(self.size - 4);
            payload.extend_from_slice(more.get(4..4 + wanted)?);
        }
        Some(payload)
    }
}

fn size(file: &[u8], log: &[u8]) -> usize {
    let told = if file.starts_with(MAGIC) {
        // 1 stands for 65536.
        short(file, 16).map(|size| if size == 1 { 65_536 } else { size })
    } else {
        big_endian(log, 8).and_then(|size| usize::try_from(size).ok())
    };
    told.filter(|size| size.is_power_of_two() && (512..=65_536).contains(size)).unwrap_or(USUAL)
}

fn short(bytes: &[u8], at: usize) -> Option<usize> {
    let [high, low] = bytes.get(at..at + 2)?.try_into().ok()?;
    Some(usize::from(u16::from_be_bytes([high, low])))
}

fn big_endian(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at.checked_add(4)?)?.try_into().ok().map(u32::from_be_bytes)
}

/// A number of one to nine bytes, and the place behind it.
fn varint(bytes: &[u8], at: usize) -> Option<(u64, usize)> {
    let mut value = 0_u64;
    for k in 0..9 {
        let byte = *bytes.get(at.checked_add(k)?)?;
        if k == 8 {
            return Some((value << 8 | u64::from(byte), at + 9));
        }
        value = value << 7 | u64::from(byte & 0x7F);
        if byte < 0x80 {
            return Some((value, at + k + 1));
        }
    }
    None
}

/// The fields of a record.
fn values(record: &[u8]) -> Option<Vec<Value>> {
    let (header, mut at) = varint(record, 0)?;
    let header = usize::try_from(header).ok().filter(|header| *header <= record.len())?;
    let mut content = header;
    let mut values = Vec::new();
    while at < header {
        let (kind, next) = varint(record, at)?;
        at = next;
        let length = match kind {
            0 | 8 | 9 => 0,
            1..=4 => usize::try_from(kind).ok()?,
            5 => 6,
            6 | 7 => 8,
            10 | 11 => return None,
            _ => usize::try_from((kind - 12) / 2).ok()?,
        };
        let bytes = record.get(content..content.checked_add(length)?)?;
        content += length;
        values.push(match kind {
            0 => Value::Null,
            8 => Value::Int(0),
            9 => Value::Int(1),
            1..=6 => Value::Int(int(bytes)),
            kind if kind >= 13 && kind % 2 == 1 => {
                std::str::from_utf8(bytes).map_or(Value::Other, |text| Value::Text(text.to_owned()))
            }
            _ => Value::Other,
        });
    }
    Some(values)
}

/// A signed number of up to eight bytes, the highest first.
fn int(bytes: &[u8]) -> i64 {
    let negative = bytes.first().is_some_and(|byte| *byte >= 0x80);
    bytes.iter().fold(if negative { -1 } else { 0 }, |value, byte| value << 8 | i64::from(*byte))
}

#[cfg(test)]
mod tests {
    use super::{Value, int, values, varint};

    /// Worked by hand from the format's description, sections 1.6 and 2.1.
    #[test]
    fn numbers_and_records_are_read_as_the_format_says() {
        assert_eq!(varint(&[0x7F], 0), Some((127, 1)));
        assert_eq!(varint(&[0x81, 0x00], 0), Some((128, 2)));
        assert_eq!(varint(&[0xFF; 9], 0), Some((u64::MAX, 9)));
        assert_eq!(varint(&[0x81], 0), None);
        assert_eq!((int(&[0xFF]), int(&[0x7F, 0xFF]), int(&[0x80])), (-1, 32_767, -128));
        // A header of four bytes: NULL, the constant 1, text of three bytes.
        let record = [4, 0, 9, 19, b'a', b'b', b'c'];
        assert_eq!(values(&record), Some(vec![Value::Null, Value::Int(1), Value::Text("abc".to_owned())]));
        assert_eq!(values(&record[..6]), None);
    }
}
