//! Reads a drawing back from its SVG text, sharing no code with the engine that wrote it.
#![allow(dead_code)] // every check file uses its own part

use roxmltree::{Document, Node};

/// Advance of a digit in DejaVu Sans, one of the widest common faces: 1303 of 2048 units (its `hmtx` table).
const DIGIT_ADVANCE: f64 = 1303.0 / 2048.0;
/// Least height of capitals among common sans-serif faces: 1409 of 2048 units in Liberation Sans (its `OS/2` table is 1409).
const CAPITAL: f64 = 1409.0 / 2048.0;

#[derive(Clone, Copy, Debug)]
pub struct Box4 {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Box4 {
    pub fn overlaps(&self, other: &Self) -> bool {
        let least = 0.02; // coordinates are written to a hundredth
        self.x0 + least < other.x1
            && other.x0 + least < self.x1
            && self.y0 + least < other.y1
            && other.y0 + least < self.y1
    }
    pub fn centre(&self) -> (f64, f64) {
        (
            f64::midpoint(self.x0, self.x1),
            f64::midpoint(self.y0, self.y1),
        )
    }
}

#[derive(Clone, Debug)]
pub struct Word {
    pub class: String,
    pub group: String,
    pub content: String,
    pub x: f64,
    pub y: f64,
    pub size: f64,
    pub anchoring: String,
    pub upward: bool,
}

impl Word {
    /// The box of a word made of digits.
    pub fn digits_box(&self) -> Box4 {
        let length = self.content.chars().count() as f64 * DIGIT_ADVANCE * self.size;
        self.sized_box(length, 0.73 * self.size)
    }
    /// Its box if it is so long and so high.
    pub fn sized_box(&self, length: f64, height: f64) -> Box4 {
        let (from, to) = match self.anchoring.as_str() {
            "middle" => (-length / 2.0, length / 2.0),
            "end" => (-length, 0.0),
            _ => (0.0, length),
        };
        if self.upward {
            Box4 {
                x0: self.x - height,
                x1: self.x,
                y0: self.y - to,
                y1: self.y - from,
            }
        } else {
            Box4 {
                x0: self.x + from,
                x1: self.x + to,
                y0: self.y - height,
                y1: self.y,
            }
        }
    }
    pub fn capital_height(&self) -> f64 {
        self.size * CAPITAL
    }
}

#[derive(Clone, Debug)]
pub struct Path {
    pub group: String,
    /// One list of points for each move.
    pub runs: Vec<Vec<(f64, f64)>>,
    pub closed: bool,
}

#[derive(Clone, Debug)]
pub struct Circle {
    pub group: String,
    pub x: f64,
    pub y: f64,
    pub r: f64,
}

#[derive(Clone, Debug, Default)]
pub struct Paper {
    pub width: f64,
    pub height: f64,
    pub words: Vec<Word>,
    pub paths: Vec<Path>,
    pub circles: Vec<Circle>,
    pub rects: Vec<(String, Box4)>,
    pub elements: Vec<String>,
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    let text = node
        .attribute(name)
        .unwrap_or_else(|| panic!("{name} of {}", node.tag_name().name()));
    let value: f64 = text.parse().unwrap_or_else(|_| panic!("{name}={text}"));
    assert!(value.is_finite(), "{name}={text}");
    value
}

/// Path data of absolute moves, lines and closes only.
fn runs(data: &str) -> (Vec<Vec<(f64, f64)>>, bool) {
    let mut runs: Vec<Vec<(f64, f64)>> = Vec::new();
    let closed = data.ends_with('Z');
    let mut rest = data.trim_end_matches('Z');
    while !rest.is_empty() {
        let command = rest.chars().next().unwrap();
        rest = &rest[1..];
        let end = rest.find(['M', 'L']).unwrap_or(rest.len());
        let mut pair = rest[..end]
            .split(' ')
            .map(|v| v.parse::<f64>().unwrap_or_else(|_| panic!("{v} in {data}")));
        let point = (pair.next().unwrap(), pair.next().unwrap());
        assert!(pair.next().is_none(), "{data}");
        match command {
            'M' => runs.push(vec![point]),
            'L' => runs.last_mut().unwrap().push(point),
            other => panic!("{other} in {data}"),
        }
        rest = &rest[end..];
    }
    (runs, closed)
}

/// Reads a sheet; panics where it is not well-formed or holds a figure that is not finite.
pub fn read(svg: &str) -> Paper {
    let document = Document::parse(svg).expect("well-formed XML");
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg");
    let millimetres = |name: &str| -> f64 {
        root.attribute(name)
            .unwrap()
            .strip_suffix("mm")
            .expect("millimetres")
            .parse()
            .unwrap()
    };
    let mut paper = Paper {
        width: millimetres("width"),
        height: millimetres("height"),
        ..Paper::default()
    };
    let view: Vec<f64> = root
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    assert_eq!(
        view,
        [0.0, 0.0, paper.width, paper.height],
        "one unit is one millimetre"
    );
    for node in document.descendants().filter(Node::is_element) {
        paper.elements.push(node.tag_name().name().to_owned());
        let group = node
            .parent_element()
            .and_then(|g| g.attribute("class"))
            .unwrap_or("")
            .to_owned();
        match node.tag_name().name() {
            "path" => {
                let (runs, closed) = runs(node.attribute("d").unwrap());
                paper.paths.push(Path {
                    group,
                    runs,
                    closed,
                });
            }
            "circle" => paper.circles.push(Circle {
                group,
                x: number(node, "cx"),
                y: number(node, "cy"),
                r: number(node, "r"),
            }),
            "rect" => {
                let (x, y) = (number(node, "x"), number(node, "y"));
                let (w, h) = (number(node, "width"), number(node, "height"));
                assert!(w >= 0.0 && h >= 0.0);
                paper.rects.push((
                    group,
                    Box4 {
                        x0: x,
                        y0: y,
                        x1: x + w,
                        y1: y + h,
                    },
                ));
            }
            "text" => {
                let upward = node.attribute("transform").is_some();
                let word = Word {
                    class: node.attribute("class").unwrap_or("").to_owned(),
                    group,
                    content: node.text().unwrap_or("").to_owned(),
                    x: number(node, "x"),
                    y: number(node, "y"),
                    size: number(node, "font-size"),
                    anchoring: node.attribute("text-anchor").unwrap_or("start").to_owned(),
                    upward,
                };
                if upward {
                    let turn = format!(
                        "rotate(-90 {} {})",
                        node.attribute("x").unwrap(),
                        node.attribute("y").unwrap()
                    );
                    assert_eq!(node.attribute("transform"), Some(turn.as_str()));
                }
                paper.words.push(word);
            }
            "svg" | "g" | "title" | "desc" => {}
            other => panic!("an element that the drawing does not need: {other}"),
        }
    }
    paper
}

/// What must hold for every drawing: inside the page, lettering high enough.
pub fn lawful(svg: &str) -> Paper {
    for word in ["NaN", "inf", "<script", "href"] {
        assert!(
            !svg.contains(word) || word == "inf" && !svg.contains("\"inf"),
            "{word}"
        );
    }
    let paper = read(svg);
    let inside = |x: f64, y: f64, what: &str| {
        assert!(
            (0.0..=paper.width).contains(&x) && (0.0..=paper.height).contains(&y),
            "{what} at {x}, {y} off a page of {} by {}",
            paper.width,
            paper.height
        );
    };
    for path in &paper.paths {
        for &(x, y) in path.runs.iter().flatten() {
            inside(x, y, &path.group);
        }
    }
    for c in &paper.circles {
        inside(c.x - c.r, c.y - c.r, &c.group);
        inside(c.x + c.r, c.y + c.r, &c.group);
    }
    for (group, r) in &paper.rects {
        inside(r.x0, r.y0, group);
        inside(r.x1, r.y1, group);
    }
    for word in &paper.words {
        inside(word.x, word.y, &word.content);
        assert!(
            word.capital_height() >= 1.8 - 0.02,
            "{} is {} mm high",
            word.content,
            word.capital_height()
        );
        if !word.content.is_empty() && word.content.chars().all(|c| c.is_ascii_digit()) {
            let b = word.digits_box();
            inside(b.x0, b.y0, &word.content);
            inside(b.x1, b.y1, &word.content);
        }
    }
    paper
}

/// No two words of digits of the classes named may cover each other.
pub fn apart(paper: &Paper, classes: &[&str]) {
    let boxes: Vec<(&Word, Box4)> = paper
        .words
        .iter()
        .filter(|w| classes.contains(&w.class.as_str()))
        .map(|w| (w, w.digits_box()))
        .collect();
    for (i, (word, a)) in boxes.iter().enumerate() {
        for (other, b) in &boxes[i + 1..] {
            assert!(!a.overlaps(b), "{} covers {}", word.content, other.content);
        }
    }
}

/// A small generator with a fixed start, so that a failure can be found again.
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }
    pub fn below(&mut self, most: i32) -> i32 {
        i32::try_from(self.next() % u64::from(most.max(1).unsigned_abs())).unwrap()
    }
    pub fn share(&mut self) -> f64 {
        self.next() as f64 / (1_u64 << 31) as f64
    }
}
