//! A teacher's photograph, made ready to print: upright, cropped to what must stay in sight, 300 dots to the inch at
//! its printed size, grey where the page is, and small.
//!
//! Pure: bytes in, bytes out, and the same bytes for the same photograph. Orientation is the tag 0x0112 of
//! CIPA DC-008 (Exif 2.32), section 4.6.4; grey is the luma of Recommendation ITU-R BT.709.

use crate::course::limits::{PIXEL_BYTES, PIXELS};
use crate::units::{Centimetres, Percent};
use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::{CompressionType, FilterType as PngFilter, PngDecoder, PngEncoder};
use image::codecs::webp::WebPDecoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageEncoder, ImageResult, Rgb, RgbImage};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::io::Cursor;
use std::sync::{Arc, Mutex, PoisonError};

/// Grows when the same photograph is developed otherwise, so that no older print is taken from a cache.
const MANNER: u32 = 1;
/// Dots to the inch on paper.
pub const DOTS_PER_INCH: f64 = 300.0;
/// Below this many dots to the inch a print is visibly coarse at arm's length.
pub const COARSE: f64 = 150.0;
/// A photograph with more pixels than this is opened while no other is.
const LARGE: u64 = 30_000_000;
/// A print is made smaller than this, in bytes, by the quality that it takes.
const HEAVY: usize = 250_000;
/// JPEG qualities, best first.
const QUALITIES: [u8; 4] = [85, 75, 60, 40];

/// How a photograph is wanted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Wish {
    /// What must stay in sight: per cent across from the left, per cent down from the top, of the upright photograph.
    pub focus: (Percent, Percent),
    /// For a large-print page.
    pub large: bool,
    /// For a black-and-white page.
    pub grey: bool,
}

impl Default for Wish {
    fn default() -> Self {
        let middle = Percent::new(50.into());
        Wish { focus: (middle, middle), large: false, grey: false }
    }
}

/// A photograph that is ready to print.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Print {
    /// A JPEG or PNG file.
    pub bytes: Arc<[u8]>,
    /// `jpg` or `png`.
    pub ending: &'static str,
    /// Pixels across and down.
    pub pixels: (u32, u32),
    /// Printed width.
    pub width: Centimetres,
    /// Printed height.
    pub height: Centimetres,
}

impl Print {
    /// A print from a cache; `None` if it is no picture any more.
    pub fn of(bytes: Vec<u8>, large: bool) -> Option<Print> {
        let Ok(picture) = open(&bytes) else { return None };
        let (pixels, ending) = (picture.upright(), picture.kind.ending());
        picture.decode().ok()?;
        Some(Print::new(bytes, ending, pixels, large))
    }

    fn new(bytes: Vec<u8>, ending: &'static str, pixels: (u32, u32), large: bool) -> Print {
        let (width, height) = frame(pixels, large);
        Print { bytes: bytes.into(), ending, pixels, width, height }
    }

    /// Dots to the inch on paper.
    pub fn dots_per_inch(&self) -> f64 {
        f64::from(self.pixels.0) / self.width.to_f64() * 2.54
    }
}

/// Why a photograph cannot be printed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Unprintable {
    /// Not a JPEG, PNG or WebP file; what it is, where that is known.
    NotAPhotograph(Option<&'static str>),
    /// More pixels or more memory than are opened: pixels across and down.
    TooLarge(u32, u32),
    /// It breaks off or is damaged; what the decoder says.
    Damaged(String),
}

/// The printed size of a photograph with these pixels: one size lying, one standing.
fn frame((across, down): (u32, u32), large: bool) -> (Centimetres, Centimetres) {
    let (long, short) = if large { (6500, 4875) } else { (5200, 3900) };
    let (long, short) = (Centimetres::from_thousandths(long), Centimetres::from_thousandths(short));
    if across >= down { (long, short) } else { (short, long) }
}

fn dots(length: Centimetres) -> u32 {
    (length.to_f64() / 2.54 * DOTS_PER_INCH).round() as u32
}

/// What a print of these bytes is known by: SHA-256 over the bytes and everything that changes the print.
pub fn key(bytes: &[u8], wish: &Wish) -> String {
    let mut hash = Sha256::new();
    let (across, down) = (wish.focus.0.number().normalize(), wish.focus.1.number().normalize());
    hash.update(format!("{MANNER} {across} {down} {} {}\n", wish.large, wish.grey));
    hash.update(bytes);
    hash.finalize().iter().fold(String::new(), |mut text, byte| {
        // Writing into a text cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Makes a photograph ready to print.
///
/// # Errors
/// When it is no photograph, too large or damaged.
pub fn develop(bytes: &[u8], wish: &Wish) -> Result<Print, Unprintable> {
    static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());
    let picture = open(bytes)?;
    let (across, down) = picture.upright();
    if across == 0 || down == 0 {
        return Err(Unprintable::Damaged("it has no pixels".to_owned()));
    }
    let pixels = u64::from(across) * u64::from(down);
    if pixels > PIXELS || picture.memory() > PIXEL_BYTES {
        return Err(Unprintable::TooLarge(across, down));
    }
    let turn = picture.turn;
    let sharp = picture.kind.is_lossless();
    let profile = picture.profile.clone();
    let guard = (pixels > LARGE).then(|| ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner));
    let whole = flat(picture.decode()?);
    let cut = Cut::of((across, down), wish);
    // Scaled before it is turned and cropped: a small picture is cheap to turn.
    let mut small = cut.scaled(whole, turn);
    drop(guard);
    small.apply_orientation(turn);
    let (x, y, width, height) = cut.place(small.width(), small.height());
    let small = small.crop_imm(x, y, width, height);
    let (small, profile) =
        if wish.grey { (DynamicImage::ImageLuma8(small.to_luma8()), None) } else { (small, profile) };
    let (bytes, ending) =
        encode(&small, sharp, profile.as_deref()).map_err(|e| Unprintable::Damaged(e.to_string()))?;
    Ok(Print::new(bytes, ending, (width, height), wish.large))
}

/// The formats of a photograph.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Kind {
    Jpeg,
    Png,
    WebP,
}

impl Kind {
    fn of(bytes: &[u8]) -> Result<Kind, Unprintable> {
        let at = |from: usize, to: usize| bytes.get(from..to).unwrap_or_default();
        if bytes.starts_with(b"\xFF\xD8\xFF") {
            Ok(Kind::Jpeg)
        } else if bytes.starts_with(b"\x89PNG\r\n\x1A\n") {
            Ok(Kind::Png)
        } else if at(0, 4) == b"RIFF" && at(8, 12) == b"WEBP" {
            Ok(Kind::WebP)
        } else if at(4, 8) == b"ftyp" {
            // ISO 14496-12: the brand follows.
            let heif = [&b"heic"[..], b"heix", b"hevc", b"mif1", b"msf1", b"avif"].contains(&at(8, 12));
            Err(Unprintable::NotAPhotograph(Some(if heif { "a HEIF picture" } else { "a film" })))
        } else {
            let known: [(&[u8], &str); 6] = [
                (b"GIF8", "a GIF picture"),
                (b"%PDF", "a PDF file"),
                (b"II*\0", "a TIFF or raw picture"),
                (b"MM\0*", "a TIFF or raw picture"),
                (b"BM", "a bitmap"),
                (b"<svg", "an SVG drawing"),
            ];
            let what = known.iter().find(|(magic, _)| bytes.starts_with(magic)).map(|(_, what)| *what);
            Err(Unprintable::NotAPhotograph(what))
        }
    }

    fn is_lossless(self) -> bool {
        self == Kind::Png
    }

    fn ending(self) -> &'static str {
        match self {
            Kind::Jpeg => "jpg",
            Kind::Png => "png",
            Kind::WebP => "webp",
        }
    }
}

/// A photograph whose head has been read.
struct Picture<'a> {
    kind: Kind,
    decoder: Box<dyn ImageDecoder + 'a>,
    turn: Orientation,
    profile: Option<Vec<u8>>,
    whole: bool,
}

fn open(bytes: &[u8]) -> Result<Picture<'_>, Unprintable> {
    let kind = Kind::of(bytes)?;
    let damaged = |e: image::ImageError| Unprintable::Damaged(e.to_string());
    let input = Cursor::new(bytes);
    let mut decoder: Box<dyn ImageDecoder> = match kind {
        Kind::Jpeg => Box::new(JpegDecoder::new(input).map_err(damaged)?),
        Kind::Png => Box::new(PngDecoder::new(input).map_err(damaged)?),
        Kind::WebP => Box::new(WebPDecoder::new(input).map_err(damaged)?),
    };
    // A head that cannot be read does not spoil the picture.
    let turn = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let profile = decoder.icc_profile().ok().flatten().filter(|p| is_rgb_profile(p));
    let profile = profile.filter(|_| decoder.color_type().has_color());
    Ok(Picture { kind, decoder, turn, profile, whole: kind != Kind::Jpeg || ends_well(bytes) })
}

impl Picture<'_> {
    /// Pixels across and down, once it is turned upright.
    fn upright(&self) -> (u32, u32) {
        let (width, height) = self.decoder.dimensions();
        if turns_over(self.turn) { (height, width) } else { (width, height) }
    }

    fn memory(&self) -> u64 {
        self.decoder.total_bytes()
    }

    fn decode(self) -> Result<DynamicImage, Unprintable> {
        let image =
            DynamicImage::from_decoder(self.decoder).map_err(|e| Unprintable::Damaged(e.to_string()))?;
        if self.whole { Ok(image) } else { Err(Unprintable::Damaged("it breaks off".to_owned())) }
    }
}

/// Whether width and height change places.
fn turns_over(turn: Orientation) -> bool {
    use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
    matches!(turn, Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH)
}

/// Whether an end-of-image marker follows the first scan of a JPEG file: a decoder fills what is missing with grey, and
/// half a photograph would be printed as if it were whole.
fn ends_well(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let (Some([0xFF, marker]), Some([high, low])) = (bytes.get(at..at + 2), bytes.get(at + 2..at + 4)) {
        if *marker == 0xDA {
            return bytes.get(at..).is_some_and(|scan| scan.windows(2).any(|two| two == [0xFF, 0xD9]));
        }
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
    }
    // Filling bytes between the segments, as are allowed: look at the very end instead.
    bytes.ends_with(&[0xFF, 0xD9])
}

/// Whether these bytes are a colour profile of the International Color Consortium for red, green and blue
/// (ICC.1:2022, 7.2: the colour space stands at byte 16, the signature at byte 36).
fn is_rgb_profile(profile: &[u8]) -> bool {
    let at = |from: usize| profile.get(from..from + 4).unwrap_or_default();
    at(16) == b"RGB " && at(36) == b"acsp" && (128..=65_536).contains(&profile.len())
}

/// Eight bits for each of red, green and blue, what is seen through showing the white paper.
fn flat(image: DynamicImage) -> DynamicImage {
    if !image.color().has_alpha() {
        return DynamicImage::ImageRgb8(image.into_rgb8());
    }
    let image = image.into_rgba8();
    let mut paper = RgbImage::new(image.width(), image.height());
    for (ink, seen) in image.pixels().zip(paper.pixels_mut()) {
        let [.., alpha] = ink.0;
        let over = |colour: u8| {
            let (colour, alpha) = (u32::from(colour), u32::from(alpha));
            ((colour * alpha + 255 * (255 - alpha) + 127) / 255) as u8
        };
        *seen = Rgb([over(ink.0[0]), over(ink.0[1]), over(ink.0[2])]);
    }
    DynamicImage::ImageRgb8(paper)
}

/// Which part of the upright photograph is printed, and with how many pixels.
struct Cut {
    /// Share of its width and height at which the part begins, and which it takes.
    from: (f64, f64),
    /// The scale, at most 1: a photograph is never blown up.
    scale: f64,
    /// Pixels of the print.
    print: (u32, u32),
}

impl Cut {
    fn of((across, down): (u32, u32), wish: &Wish) -> Cut {
        let (width, height) = frame((across, down), wish.large);
        let (whole_x, whole_y) = (f64::from(across), f64::from(down));
        let shape = width.to_f64() / height.to_f64();
        let (cut_x, cut_y) =
            if whole_x / whole_y > shape { (whole_y * shape, whole_y) } else { (whole_x, whole_x / shape) };
        let begin = |focus: Percent, whole: f64, cut: f64| {
            let middle = focus.to_f64().clamp(0.0, 100.0) / 100.0 * whole;
            (middle - cut / 2.0).clamp(0.0, (whole - cut).max(0.0)) / whole
        };
        let wanted = (dots(width), dots(height));
        let scale = (f64::from(wanted.0) / cut_x).min(1.0);
        let print =
            if scale < 1.0 { wanted } else { ((cut_x.round() as u32).max(1), (cut_y.round() as u32).max(1)) };
        Cut { from: (begin(wish.focus.0, whole_x, cut_x), begin(wish.focus.1, whole_y, cut_y)), scale, print }
    }

    /// The whole photograph at the scale of the print, not yet turned.
    fn scaled(&self, image: DynamicImage, turn: Orientation) -> DynamicImage {
        if self.scale >= 1.0 {
            return image;
        }
        let (least_x, least_y) =
            if turns_over(turn) { (self.print.1, self.print.0) } else { (self.print.0, self.print.1) };
        let size = |whole: u32, least: u32| ((f64::from(whole) * self.scale).round() as u32).max(least);
        let (x, y) = (size(image.width(), least_x), size(image.height(), least_y));
        // The mean of neighbours down to twice the size, then the sharp filter: as good to the eye and many times quicker.
        let near = if self.scale < 0.25 { image.thumbnail_exact(x * 2, y * 2) } else { image };
        near.resize_exact(x, y, FilterType::Lanczos3)
    }

    /// Left, top, width and height of the print in a photograph of this size.
    fn place(&self, across: u32, down: u32) -> (u32, u32, u32, u32) {
        let (width, height) = (self.print.0.min(across), self.print.1.min(down));
        let begin =
            |from: f64, whole: u32, cut: u32| ((from * f64::from(whole)).round() as u32).min(whole - cut);
        (begin(self.from.0, across, width), begin(self.from.1, down, height), width, height)
    }
}

/// A JPEG file, or a PNG file where the photograph came as one and that is smaller: a drawing keeps its sharp lines.
fn encode(image: &DynamicImage, sharp: bool, profile: Option<&[u8]>) -> ImageResult<(Vec<u8>, &'static str)> {
    let mut best = Vec::new();
    for quality in QUALITIES {
        best.clear();
        let mut encoder = JpegEncoder::new_with_quality(&mut best, quality);
        if let Some(profile) = profile {
            // An encoder that takes no profile prints the plain colours.
            let _ = encoder.set_icc_profile(profile.to_vec());
        }
        image.write_with_encoder(encoder)?;
        if best.len() <= HEAVY {
            break;
        }
    }
    if sharp {
        let mut png = Vec::new();
        let mut encoder = PngEncoder::new_with_quality(&mut png, CompressionType::Best, PngFilter::Adaptive);
        if let Some(profile) = profile {
            let _ = encoder.set_icc_profile(profile.to_vec());
        }
        image.write_with_encoder(encoder)?;
        if png.len() <= best.len() {
            return Ok((png, "png"));
        }
    }
    Ok((best, "jpg"))
}

#[cfg(test)]
#[path = "photos_tests.rs"]
mod tests;
