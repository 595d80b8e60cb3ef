//! Reads the ink of a PDF page: every painted path with its bounding box, in millimetres from the page's top left corner.

use std::io::Read;

/// The bounding box of a painted path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ink {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    /// Filled, not only stroked.
    pub filled: bool,
}

impl Ink {
    /// Whether its box has this size, to a twentieth of a millimetre.
    pub fn is(&self, width: f64, height: f64) -> bool {
        (self.width - width).abs() < 0.05 && (self.height - height).abs() < 0.05
    }
}

/// All compressed streams of a PDF, opened.
pub fn streams(pdf: &[u8]) -> Vec<Vec<u8>> {
    let find = |from: usize, what: &[u8]| {
        pdf[from..].windows(what.len()).position(|w| w == what).map(|at| from + at)
    };
    let mut all = Vec::new();
    let mut at = 0;
    while let Some(start) = find(at, b"stream\n") {
        let start = start + 7;
        let Some(end) = find(start, b"endstream") else { break };
        let mut open = Vec::new();
        if flate2::read::ZlibDecoder::new(&pdf[start..end]).read_to_end(&mut open).is_ok() {
            all.push(open);
        }
        at = end + 9;
    }
    all
}

type Matrix = [f64; 6];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

/// The painted paths of one content stream. Control points of curves count as points; straight shapes are exact.
pub fn ink(content: &[u8], page_height_mm: f64) -> Vec<Ink> {
    // A name may stand right behind an operator.
    let text = String::from_utf8_lossy(content).replace('/', " /");
    let mut matrix: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let mut saved = Vec::new();
    let mut numbers: Vec<f64> = Vec::new();
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut all = Vec::new();
    let mut in_text = false;
    for token in text.split_ascii_whitespace() {
        // The bytes of shown text are not operators.
        match token {
            "BT" => in_text = true,
            "ET" => in_text = false,
            _ => {}
        }
        if in_text {
            continue;
        }
        if let Ok(n) = token.parse::<f64>() {
            numbers.push(n);
            continue;
        }
        match token {
            "q" => saved.push(matrix),
            "Q" => matrix = saved.pop().unwrap_or(matrix),
            "cm" if numbers.len() >= 6 => {
                let n = &numbers[numbers.len() - 6..];
                matrix = times([n[0], n[1], n[2], n[3], n[4], n[5]], matrix);
            }
            "m" | "l" | "c" | "v" | "y" => {
                for p in numbers.chunks_exact(2) {
                    points.push((
                        p[0] * matrix[0] + p[1] * matrix[2] + matrix[4],
                        p[0] * matrix[1] + p[1] * matrix[3] + matrix[5],
                    ));
                }
            }
            "S" | "s" | "f" | "f*" | "B" | "B*" | "b" | "b*" | "n" => {
                let mm = |pt: f64| pt * 25.4 / 72.0;
                let span = |pick: fn(&(f64, f64)) -> f64| {
                    points.iter().map(pick).fold((f64::MAX, f64::MIN), |s, x| (s.0.min(x), s.1.max(x)))
                };
                if !points.is_empty() && token != "n" {
                    let (x, y) = (span(|p| p.0), span(|p| p.1));
                    all.push(Ink {
                        left: mm(x.0),
                        top: page_height_mm - mm(y.1),
                        width: mm(x.1 - x.0),
                        height: mm(y.1 - y.0),
                        filled: !matches!(token, "S" | "s"),
                    });
                }
                points.clear();
            }
            _ => {}
        }
        numbers.clear();
    }
    all
}
