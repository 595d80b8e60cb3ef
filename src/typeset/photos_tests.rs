//! Tests of [`super`]: pictures are reckoned here, never taken from anyone.
#![allow(clippy::unwrap_used)]

use super::*;
use image::{ImageFormat, Rgba, RgbaImage};

/// The stored place of a pixel of the upright picture, by the table of CIPA DC-008 (Exif 2.32) 4.6.4, tag 0x0112:
/// which visual side the stored row 0 and the stored column 0 are.
fn stored(tag: u8, x: u32, y: u32, width: u32, height: u32) -> (u32, u32) {
    let (from_left, from_right, from_top, from_bottom) = (x, width - 1 - x, y, height - 1 - y);
    // (column, row)
    match tag {
        1 => (from_left, from_top),
        2 => (from_right, from_top),
        3 => (from_right, from_bottom),
        4 => (from_left, from_bottom),
        5 => (from_top, from_left),
        6 => (from_top, from_right),
        7 => (from_bottom, from_right),
        _ => (from_bottom, from_left),
    }
}

/// Red, green, blue and white quarters, read from the top left.
fn quarters(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| match (x < width / 2, y < height / 2) {
        (true, true) => Rgb([220, 20, 20]),
        (false, true) => Rgb([20, 200, 20]),
        (true, false) => Rgb([20, 20, 220]),
        (false, false) => Rgb([240, 240, 240]),
    })
}

fn jpeg(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90).encode_image(image).unwrap();
    bytes
}

fn png(image: &DynamicImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// A JPEG file with the orientation tag, its bytes as the standard lays them out.
fn with_orientation(jpeg: &[u8], tag: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([tag, 0, 0, 0, 0, 0, 0]);
    let length = (exif.len() + 2) as u16;
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, 0xE1]);
    bytes.extend(length.to_be_bytes());
    bytes.extend(exif);
    bytes.extend(&jpeg[2..]);
    bytes
}

fn printed(print: &Print) -> RgbImage {
    image::load_from_memory(&print.bytes).unwrap().into_rgb8()
}

fn near(pixel: &Rgb<u8>, wanted: [u8; 3]) -> bool {
    pixel.0.iter().zip(wanted).all(|(a, b)| a.abs_diff(b) < 24)
}

#[test]
fn all_eight_orientations_come_out_upright() {
    for (width, height) in [(320, 240), (240, 320)] {
        let upright = quarters(width, height);
        for tag in 1..=8 {
            let turned = tag >= 5;
            let mut file = if turned { RgbImage::new(height, width) } else { RgbImage::new(width, height) };
            for (x, y, pixel) in upright.enumerate_pixels() {
                let (column, row) = stored(tag, x, y, width, height);
                file.put_pixel(column, row, *pixel);
            }
            let print = develop(&with_orientation(&jpeg(&file), tag), &Wish::default()).unwrap();
            assert_eq!(print.pixels, (width, height), "{tag}");
            let seen = printed(&print);
            let at = |x: u32, y: u32| seen.get_pixel(x * width / 4, y * height / 4);
            assert!(near(at(1, 1), [220, 20, 20]), "{tag}: {:?}", at(1, 1));
            assert!(near(at(3, 1), [20, 200, 20]), "{tag}: {:?}", at(3, 1));
            assert!(near(at(1, 3), [20, 20, 220]), "{tag}: {:?}", at(1, 3));
            assert!(near(at(3, 3), [240, 240, 240]), "{tag}: {:?}", at(3, 3));
        }
    }
}

/// A made-up scene with fine grain, as a sensor gives it: a file that compresses badly.
fn grainy(width: u32, height: u32) -> RgbImage {
    let mut state = 0x2545_F491_u32;
    RgbImage::from_fn(width, height, |x, y| {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let grain = (state % 64) as i64 - 32;
        let slope = |a: u32, b: u32| (i64::from(a) * 200 / i64::from(b) + grain).clamp(0, 255) as u8;
        Rgb([slope(x, width), slope(y, height), slope(x + y, width + height)])
    })
}

#[test]
fn twenty_four_megapixels_become_a_small_print_of_three_hundred_dots() {
    let file = jpeg(&grainy(6000, 4000));
    assert!(file.len() > 5_000_000, "{}", file.len());
    let print = develop(&file, &Wish::default()).unwrap();
    assert!(print.bytes.len() < 300_000, "{}", print.bytes.len());
    // 5.2 cm by 3.9 cm at 300 dots to the inch of 2.54 cm: 614.2 by 460.6.
    assert_eq!(print.pixels, (614, 461));
    assert!((print.dots_per_inch() - 300.0).abs() < 0.5);
    assert_eq!(print, develop(&file, &Wish::default()).unwrap(), "the same bytes each time");
}

#[test]
fn pure_noise_stays_below_the_weight_too() {
    let mut state = 1_u32;
    let noise = RgbImage::from_fn(1300, 975, |_, _| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [a, b, c, _] = (state ^ (state >> 15)).to_be_bytes();
        Rgb([a, b, c])
    });
    for large in [false, true] {
        let wish = Wish { large, ..Wish::default() };
        let print = develop(&png(&DynamicImage::ImageRgb8(noise.clone())), &wish).unwrap();
        assert!(print.bytes.len() < 300_000, "{}", print.bytes.len());
    }
}

#[test]
fn the_focus_stays_in_sight() {
    let percent = |n: i64| Percent::new(n.into());
    // Four times as wide as high: a third of it is printed. Its left end is red, its right end blue.
    let wide = RgbImage::from_fn(1600, 400, |x, _| match x {
        0..100 => Rgb([220, 20, 20]),
        1500.. => Rgb([20, 20, 220]),
        _ => Rgb([120, 120, 120]),
    });
    let ends = |focus: i64| {
        let wish = Wish { focus: (percent(focus), percent(50)), ..Wish::default() };
        let print = develop(&jpeg(&wide), &wish).unwrap();
        let seen = printed(&print);
        let (width, height) = print.pixels;
        assert!((f64::from(width) / f64::from(height) - 4.0 / 3.0).abs() < 0.01);
        (*seen.get_pixel(8, height / 2), *seen.get_pixel(width - 8, height / 2))
    };
    let (grey, red, blue) = ([120; 3], [220, 20, 20], [20, 20, 220]);
    for (focus, left, right) in [(0, red, grey), (50, grey, grey), (100, grey, blue)] {
        let seen = ends(focus);
        assert!(near(&seen.0, left) && near(&seen.1, right), "{focus}: {seen:?}");
    }
}

#[test]
fn a_standing_photograph_is_printed_standing_and_large_print_is_larger() {
    let print = |width, height, large| {
        develop(&jpeg(&quarters(width, height)), &Wish { large, ..Wish::default() }).unwrap()
    };
    let size = |p: Print| (p.width.to_f64(), p.height.to_f64(), p.pixels);
    assert_eq!(size(print(3000, 4000, false)), (3.9, 5.2, (461, 614)));
    assert_eq!(size(print(4000, 3000, true)), (6.5, 4.875, (768, 576)));
}

#[test]
fn a_small_photograph_is_not_blown_up() {
    let print = develop(&jpeg(&quarters(200, 150)), &Wish::default()).unwrap();
    assert_eq!(print.pixels, (200, 150));
    // 200 dots on 5.2 cm.
    assert!((print.dots_per_inch() - 97.7).abs() < 0.1 && print.dots_per_inch() < COARSE);
    assert!(develop(&jpeg(&quarters(1, 1)), &Wish::default()).is_ok());
    assert!(develop(&jpeg(&quarters(3000, 1)), &Wish::default()).is_ok());
    assert!(develop(&jpeg(&quarters(1, 3000)), &Wish::default()).is_ok());
}

#[test]
fn a_black_and_white_page_gets_one_channel_of_luma() {
    let print = develop(&jpeg(&quarters(400, 300)), &Wish { grey: true, ..Wish::default() }).unwrap();
    let seen = image::load_from_memory(&print.bytes).unwrap();
    assert!(!seen.color().has_color());
    // ITU-R BT.709: 0.2126 R + 0.7152 G + 0.0722 B.
    let seen = seen.into_luma8();
    for (x, y, [r, g, b]) in
        [(100, 75, [220., 20., 20.]), (300, 75, [20., 200., 20.]), (100, 225, [20., 20., 220.])]
    {
        let luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        let [grey] = seen.get_pixel(x, y).0;
        assert!((f64::from(grey) - luma).abs() < 4.0, "{grey} is not {luma}");
    }
}

#[test]
fn what_is_seen_through_shows_the_paper_and_a_drawing_stays_sharp() {
    let drawing = RgbaImage::from_fn(600, 450, |x, y| {
        if x.abs_diff(y) < 4 { Rgba([0, 0, 0, 255]) } else { Rgba([0, 0, 0, 0]) }
    });
    let print = develop(&png(&drawing.into()), &Wish::default()).unwrap();
    assert_eq!(print.ending, "png");
    let seen = printed(&print);
    assert_eq!((seen.get_pixel(300, 300).0, seen.get_pixel(500, 20).0), ([0; 3], [255; 3]));
}

#[test]
fn webp_and_deep_png_are_read() {
    let image = DynamicImage::ImageRgb8(quarters(400, 300));
    let mut webp = Cursor::new(Vec::new());
    image.write_to(&mut webp, ImageFormat::WebP).unwrap();
    let deep = png(&DynamicImage::ImageRgb16(image.to_rgb16()));
    for file in [webp.into_inner(), deep, png(&DynamicImage::ImageLuma8(image.to_luma8()))] {
        assert_eq!(develop(&file, &Wish::default()).unwrap().pixels, (400, 300));
    }
}

#[test]
fn a_colour_profile_goes_with_its_colours_and_not_with_greys() {
    let mut profile = vec![0; 128];
    profile[16..20].copy_from_slice(b"RGB ");
    profile[36..40].copy_from_slice(b"acsp");
    let mut file = Vec::new();
    let mut encoder = JpegEncoder::new(&mut file);
    encoder.set_icc_profile(profile.clone()).unwrap();
    encoder.encode_image(&quarters(900, 600)).unwrap();
    let profile_of =
        |print: &Print| JpegDecoder::new(Cursor::new(&print.bytes)).unwrap().icc_profile().unwrap();
    assert_eq!(profile_of(&develop(&file, &Wish::default()).unwrap()), Some(profile));
    assert_eq!(profile_of(&develop(&file, &Wish { grey: true, ..Wish::default() }).unwrap()), None);
}

#[test]
fn what_is_no_photograph_is_refused_by_its_bytes() {
    let why = |bytes: &[u8]| develop(bytes, &Wish::default()).unwrap_err();
    assert_eq!(why(b""), Unprintable::NotAPhotograph(None));
    assert_eq!(why(b"formula = \"walnut-crown\""), Unprintable::NotAPhotograph(None));
    assert_eq!(why(b"\0\0\0\x18ftypheic\0\0\0\0"), Unprintable::NotAPhotograph(Some("a HEIF picture")));
    assert_eq!(why(b"GIF89a"), Unprintable::NotAPhotograph(Some("a GIF picture")));
    for bytes in [&b"\xFF\xD8\xFF"[..], b"\x89PNG\r\n\x1A\n", b"RIFF\0\0\0\0WEBP"] {
        assert!(matches!(why(bytes), Unprintable::Damaged(_)), "{bytes:?}");
    }
}

#[test]
fn half_a_photograph_is_damaged_in_every_format() {
    let image = DynamicImage::ImageRgb8(grainy(400, 300));
    for format in [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP] {
        let mut file = Cursor::new(Vec::new());
        image.write_to(&mut file, format).unwrap();
        let file = file.into_inner();
        assert!(develop(&file, &Wish::default()).is_ok(), "{format:?}");
        let half = develop(&file[..file.len() / 2], &Wish::default());
        assert!(matches!(half, Err(Unprintable::Damaged(_))), "{format:?}: {half:?}");
    }
}

/// A PNG file whose head promises a picture of this size, its check sum right, and that holds next to nothing.
fn promised(width: u32, height: u32) -> Vec<u8> {
    let mut head = b"IHDR".to_vec();
    head.extend(width.to_be_bytes());
    head.extend(height.to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    // ISO/IEC 15948, annex D.
    let sum = !head.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    });
    let mut file = b"\x89PNG\r\n\x1A\n\0\0\0\x0D".to_vec();
    file.extend(head);
    file.extend(sum.to_be_bytes());
    file.extend(b"\0\0\0\0IDAT\x35\xAF\x06\x1E\0\0\0\0IEND\xAE\x42\x60\x82");
    file
}

#[test]
fn a_picture_too_large_is_refused_by_its_head() {
    let why = |width, height| develop(&promised(width, height), &Wish::default()).unwrap_err();
    assert_eq!(why(20_000, 10_000), Unprintable::TooLarge(20_000, 10_000));
    assert_eq!(why(1_000_000, 200), Unprintable::TooLarge(1_000_000, 200));
    assert!(matches!(why(2_000, 1_000), Unprintable::Damaged(_)));
}

#[test]
fn a_print_is_known_by_its_photograph_and_by_what_is_wished() {
    let wish = Wish::default();
    let keys = [
        key(b"one", &wish),
        key(b"two", &wish),
        key(b"one", &Wish { large: true, ..wish }),
        key(b"one", &Wish { grey: true, ..wish }),
        key(b"one", &Wish { focus: (Percent::ZERO, wish.focus.1), ..wish }),
    ];
    for (i, a) in keys.iter().enumerate() {
        assert!(keys[i + 1..].iter().all(|b| a != b) && a.len() == 64);
    }
    assert_eq!(keys[0], key(b"one", &wish));
    let print = develop(&jpeg(&quarters(900, 600)), &wish).unwrap();
    assert_eq!(Print::of(print.bytes.to_vec(), false), Some(print.clone()));
    assert_eq!(Print::of(print.bytes[..500].to_vec(), false), None);
}
