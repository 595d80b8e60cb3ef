//! A tagged PDF is mostly small objects: a structure element for every paragraph and cell. The typesetter writes each as plain
//! text; here they are put together into compressed object streams (ISO 32000-1, 7.5.7 and 7.5.8), which takes away four tenths.
//!
//! Only what the typesetter writes is read: a table of cross-references, every object from its offset to `endobj`. A file in any
//! other shape is left as it is.

use flate2::Compression;
use flate2::write::ZlibEncoder;
use std::io::Write;

/// Objects in one stream: few enough that a reader opens little for one page, many enough to compress well.
const TOGETHER: usize = 200;

/// What a document without an entry says too (ISO 32000-1, table 321). A widespread reader takes it for an error, so it goes.
const SUSPECTS: &[u8] = b"/Suspects false";

/// The same document with its small objects in compressed streams; the file as it was where it has another shape than expected.
pub fn compact(pdf: Vec<u8>) -> Vec<u8> {
    match compacted(&pdf) {
        Some(smaller) if smaller.len() < pdf.len() => smaller,
        _ => pdf,
    }
}

/// An object: its number and its text between `obj` and `endobj`.
struct Object<'p> {
    number: usize,
    body: &'p [u8],
}

impl Object<'_> {
    /// A stream cannot lie in another stream.
    fn is_stream(&self) -> bool {
        self.body.ends_with(b"endstream")
    }
}

/// Where an object stands in the new file.
enum Place {
    Free,
    At(usize),
    In { stream: usize, index: usize },
}

fn compacted(pdf: &[u8]) -> Option<Vec<u8>> {
    let table = number_after(pdf, rfind(pdf, b"startxref")? + 9)?;
    let (count, offsets) = offsets(pdf.get(table..)?)?;
    let trailer = trailer(pdf.get(table..)?)?;
    let objects = objects(pdf, table, &offsets)?;

    let first = objects.iter().map(|o| offsets.get(o.number).copied().flatten()).min()??;
    let mut out = pdf.get(..first)?.to_vec();
    let (streams, small): (Vec<&Object>, Vec<&Object>) = objects.iter().partition(|o| o.is_stream());
    let packs: Vec<&[&Object]> = small.chunks(TOGETHER).collect();
    // The packs and the new table come after all numbers that there are.
    let total = count + packs.len() + 1;
    let mut places: Vec<Place> = (0..total).map(|_| Place::Free).collect();
    for object in streams {
        *places.get_mut(object.number)? = Place::At(out.len());
        write_object(&mut out, object.number, object.body);
    }
    for (n, pack) in packs.iter().enumerate() {
        let stream = count + n;
        for (index, object) in pack.iter().enumerate() {
            *places.get_mut(object.number)? = Place::In { stream, index };
        }
        places[stream] = Place::At(out.len());
        write_object(&mut out, stream, &packed(pack)?);
    }
    let at = out.len();
    places[total - 1] = Place::At(at);
    write_object(&mut out, total - 1, &table_of(&places, &trailer)?);
    out.extend_from_slice(format!("startxref\n{at}\n%%EOF").as_bytes());
    Some(out)
}

fn write_object(out: &mut Vec<u8>, number: usize, body: &[u8]) {
    out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
    out.extend_from_slice(body);
    out.extend_from_slice(b"\nendobj\n");
}

/// An object stream: pairs of number and offset, then the objects.
fn packed(objects: &[&Object]) -> Option<Vec<u8>> {
    let (mut head, mut bodies) = (String::new(), Vec::new());
    for object in objects {
        head.push_str(&format!("{} {} ", object.number, bodies.len()));
        match find(object.body, SUSPECTS) {
            Some(at) => {
                bodies.extend_from_slice(&object.body[..at]);
                bodies.extend_from_slice(&object.body[at + SUSPECTS.len()..]);
            }
            None => bodies.extend_from_slice(object.body),
        }
        bodies.push(b'\n');
    }
    let text = [head.as_bytes(), &bodies].concat();
    let entries = format!("/Type/ObjStm/N {}/First {}", objects.len(), head.len());
    stream(&entries, &text)
}

/// A cross-reference stream: for each number a kind, and where it stands.
fn table_of(places: &[Place], trailer: &str) -> Option<Vec<u8>> {
    let mut rows = Vec::new();
    for place in places {
        let (kind, second, third) = match place {
            Place::Free => (0u8, 0, 65_535),
            Place::At(offset) => (1, *offset, 0),
            Place::In { stream, index } => (2, *stream, *index),
        };
        rows.push(kind);
        rows.extend_from_slice(&u32::try_from(second).ok()?.to_be_bytes());
        rows.extend_from_slice(&u16::try_from(third).ok()?.to_be_bytes());
    }
    stream(&format!("/Type/XRef/Size {}/W[1 4 2]{trailer}", places.len()), &rows)
}

fn stream(entries: &str, text: &[u8]) -> Option<Vec<u8>> {
    let mut zip = ZlibEncoder::new(Vec::new(), Compression::best());
    zip.write_all(text).ok()?;
    let packed = zip.finish().ok()?;
    let head = format!("<<{entries}/Filter/FlateDecode/Length {}>>\nstream\n", packed.len());
    Some([head.as_bytes(), &packed, b"\nendstream"].concat())
}

/// How many numbers there are, and the offset of each that is used: one section of entries of 20 bytes, from number 0 on.
fn offsets(table: &[u8]) -> Option<(usize, Vec<Option<usize>>)> {
    let rest = table.strip_prefix(b"xref\n0 ")?;
    let line = rest.iter().position(|b| *b == b'\n')?;
    let count: usize = text(rest.get(..line)?)?.trim().parse().ok()?;
    let entries = rest.get(line + 1..)?.chunks_exact(20).take(count);
    let offsets: Vec<Option<usize>> = entries
        .map(|entry| {
            let offset: usize = text(entry.get(..10)?)?.parse().ok()?;
            (entry.get(17) == Some(&b'n')).then_some(offset)
        })
        .collect();
    (offsets.len() == count).then_some((count, offsets))
}

/// The entries of the trailer but its size: they go into the new table.
fn trailer(table: &[u8]) -> Option<String> {
    let at = find(table, b"trailer")?;
    let from = at + find(table.get(at..)?, b"<<")? + 2;
    let to = from + rfind(table.get(from..)?, b">>")?;
    let entries = text(table.get(from..to)?)?.trim().to_owned();
    let rest = entries.strip_prefix("/Size ")?.trim_start_matches(|c: char| c.is_ascii_digit());
    // One that points to an older table has objects that were not read.
    (!rest.contains("/Prev") && !rest.contains("/Encrypt")).then(|| rest.to_owned())
}

/// Every object by its number, each from its offset to the `endobj` before the next one.
fn objects<'p>(pdf: &'p [u8], table: usize, offsets: &[Option<usize>]) -> Option<Vec<Object<'p>>> {
    let mut starts: Vec<usize> = offsets.iter().flatten().copied().collect();
    starts.push(table);
    starts.sort_unstable();
    let mut objects = Vec::new();
    for (number, start) in offsets.iter().enumerate() {
        let Some(start) = *start else { continue };
        let next = *starts.get(starts.partition_point(|s| *s <= start))?;
        let whole = pdf.get(start..next)?;
        let body = whole.strip_prefix(format!("{number} 0 obj").as_bytes())?;
        let end = rfind(body, b"endobj")?;
        objects.push(Object { number, body: body.get(..end)?.trim_ascii() });
    }
    Some(objects)
}

fn text(bytes: &[u8]) -> Option<&str> {
    std::str::from_utf8(bytes).ok()
}

fn number_after(pdf: &[u8], at: usize) -> Option<usize> {
    text(pdf.get(at..)?)?.split_ascii_whitespace().next()?.parse().ok()
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

fn rfind(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|w| w == what)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::io::Read;

    /// The smallest file of the typesetter's shape, with objects of 40 lines, as a structure tree has.
    fn sample() -> Vec<u8> {
        let mut pdf = b"%PDF-1.7\n%\x80\x80\x80\x80\n".to_vec();
        let mut offsets = Vec::new();
        let mut add = |body: &str| {
            offsets.push(pdf.len());
            pdf.extend_from_slice(format!("{} 0 obj\n{body}\nendobj\n\n", offsets.len()).as_bytes());
        };
        add("<</Type/Catalog/Pages 2 0 R/MarkInfo<</Marked true/Suspects false>>>>");
        add("<</Type/Pages/Kids[]/Count 0>>");
        add("<</Length 4>>\nstream\nq\nQ\nendstream");
        for _ in 0..60 {
            add("<</Type/StructElem/S/P/P 1 0 R/K[0]>>");
        }
        let table = pdf.len();
        pdf.extend_from_slice(format!("xref\n0 {}\n0000000000 65535 f\r\n", offsets.len() + 1).as_bytes());
        for offset in &offsets {
            pdf.extend_from_slice(format!("{offset:010} 00000 n\r\n").as_bytes());
        }
        let size = offsets.len() + 1;
        pdf.extend_from_slice(
            format!("trailer\n<</Size {size}/Root 1 0 R/ID[(a>>b)(c)]>>\nstartxref\n{table}\n%%EOF")
                .as_bytes(),
        );
        pdf
    }

    #[test]
    fn small_objects_go_together_and_streams_stay() {
        let was = sample();
        let is = compact(was.clone());
        assert!(is.len() * 3 < was.len(), "{} of {}", is.len(), was.len());
        assert!(find(&is, b"/Type/ObjStm/N 62").is_some());
        assert!(find(&is, b"3 0 obj\n<</Length 4>>\nstream").is_some());
        assert!(find(&is, b"/Root 1 0 R/ID[(a>>b)(c)]").is_some());
        // The table stands where the end of the file says.
        let table = number_after(&is, rfind(&is, b"startxref").unwrap() + 9).unwrap();
        assert!(is[table..].starts_with(b"65 0 obj\n<</Type/XRef/Size 66"));
        // What was packed is there again when it is opened, but for the entry that says nothing.
        let pack = find(&is, b"/Type/ObjStm").unwrap();
        let from = pack + find(&is[pack..], b"stream\n").unwrap() + 7;
        let mut text = String::new();
        flate2::read::ZlibDecoder::new(&is[from..]).read_to_string(&mut text).unwrap();
        assert!(text.contains("<</Type/Catalog/Pages 2 0 R/MarkInfo<</Marked true>>>>"), "{text}");
        assert_eq!(text.matches("/S/P/P 1 0 R").count(), 60);
        assert_eq!(compact(was), is);
    }

    #[test]
    fn a_file_of_another_shape_stays_as_it_is() {
        for strange in [&b"no file at all"[..], b"%PDF-1.7\nstartxref\n5\n%%EOF", b""] {
            assert_eq!(compact(strange.to_vec()), strange);
        }
        let mut older = sample();
        let at = find(&older, b"/Root").unwrap();
        older.splice(at..at, *b"/Prev 10");
        assert_eq!(compact(older.clone()), older);
    }
}
