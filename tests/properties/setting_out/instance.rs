//! Reads the instance files of `tests/instances`: buildings of our own, in millimetres.

use std::fs;
use std::path::{Path, PathBuf};

use quantity::Mm;
use serde::Deserialize;
use setting_out::{
    BaseStep, BoardStock, Budget, Corner, CornerKind, CornerPieces, Job, KeepClear, Opening, Point,
    Rotation, Rules, Runner, Strip, StructuralJoint, Wall, Zone, ZoneExtent,
};

/// One instance file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct File {
    format: u32,
    title: String,
    /// Whether storeys are a multiple of the course height, so that the strict target holds.
    aligned: bool,
    #[serde(default)]
    rules: RulesFile,
    board: Vec<BoardFile>,
    wall: Vec<WallFile>,
    #[serde(default)]
    corner: Vec<CornerFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[allow(clippy::struct_field_names)] // the key says its unit
struct RulesFile {
    stagger_mm: Option<i32>,
    min_piece_width_mm: Option<i32>,
    min_piece_height_mm: Option<i32>,
    opening_keep_out_mm: Option<i32>,
    course_line_clear_mm: Option<i32>,
    crack_overlap_mm: Option<i32>,
    corner_at_least_mm: Option<i32>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BoardFile {
    key: String,
    size_mm: [i32; 3],
    pack: u32,
    rotation: bool,
    kerf_mm: i32,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct WallFile {
    id: String,
    outline_mm: Vec<[i32; 2]>,
    thickness_mm: i32,
    bed_mm: i32,
    board: String,
    plinth_board: Option<String>,
    /// from, to, level
    #[serde(default)]
    base_line_mm: Vec<[i32; 3]>,
    #[serde(default)]
    openings: Vec<Rows>,
    #[serde(default)]
    strips: Vec<StripFile>,
    /// x, gap
    #[serde(default)]
    joints_mm: Vec<[i32; 2]>,
    /// x, y, x, y
    #[serde(default)]
    cracks_mm: Vec<[i32; 4]>,
}

/// Like openings in a row and in storeys.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Rows {
    at_mm: [i32; 2],
    size_mm: [i32; 2],
    /// How many across, and their spacing.
    #[serde(default)]
    across: Option<[i32; 2]>,
    /// How many up, and their spacing.
    #[serde(default)]
    up: Option<[i32; 2]>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct StripFile {
    board: String,
    at_mm: [i32; 2],
    size_mm: [i32; 2],
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct CornerFile {
    right_end_of: String,
    left_end_of: String,
    re_entrant: Option<bool>,
    /// Which runs past in the first course: "right-end" or "left-end".
    first: String,
}

/// A job with what is expected of it.
#[derive(Debug)]
pub struct Instance {
    pub name: String,
    pub title: String,
    #[allow(dead_code)] // read by the table alone
    pub aligned: bool,
    pub job: Job,
}

fn point(at: [i32; 2]) -> Point {
    Point {
        x: Mm(at[0]),
        y: Mm(at[1]),
    }
}

impl File {
    fn into_job(self) -> Job {
        assert_eq!(self.format, 1, "instance format");
        let plain = Rules::default();
        let mm = |v: Option<i32>, or: Mm| v.map_or(or, Mm);
        let rules = Rules {
            stagger: mm(self.rules.stagger_mm, plain.stagger),
            min_piece_width: mm(self.rules.min_piece_width_mm, plain.min_piece_width),
            min_piece_height: mm(self.rules.min_piece_height_mm, plain.min_piece_height),
            opening_keep_out: mm(self.rules.opening_keep_out_mm, plain.opening_keep_out),
            course_line_clear: mm(self.rules.course_line_clear_mm, plain.course_line_clear),
            crack_overlap: mm(self.rules.crack_overlap_mm, plain.crack_overlap),
            corner_pieces: self
                .rules
                .corner_at_least_mm
                .map_or(CornerPieces::WholeOrHalf, |m| CornerPieces::AtLeast(Mm(m))),
        };
        let boards = self
            .board
            .into_iter()
            .map(|b| BoardStock {
                key: b.key,
                length: Mm(b.size_mm[0]),
                height: Mm(b.size_mm[1]),
                thickness: Mm(b.size_mm[2]),
                boards_per_pack: b.pack,
                waste_ppm: 0,
                rotation: if b.rotation {
                    Rotation::Allowed
                } else {
                    Rotation::Forbidden
                },
                kerf: Mm(b.kerf_mm),
            })
            .collect();
        let corners = self
            .corner
            .into_iter()
            .enumerate()
            .map(|(i, c)| Corner {
                id: format!("C{}", i + 1),
                right_end_of: c.right_end_of,
                left_end_of: c.left_end_of,
                kind: if c.re_entrant == Some(true) {
                    CornerKind::ReEntrant
                } else {
                    CornerKind::Salient
                },
                first_to_run: if c.first == "right-end" {
                    Runner::RightEnd
                } else {
                    Runner::LeftEnd
                },
            })
            .collect();
        let walls = self.wall.into_iter().map(WallFile::into_wall).collect();
        Job {
            walls,
            corners,
            boards,
            rules,
            budget: Budget::default(),
        }
    }
}

impl WallFile {
    fn into_wall(self) -> Wall {
        let mut zones = vec![Zone {
            id: "main".into(),
            extent: ZoneExtent::Main,
            board: self.board.clone(),
        }];
        zones.extend(self.plinth_board.map(|board| Zone {
            id: "plinth".into(),
            extent: ZoneExtent::Plinth,
            board,
        }));
        for (i, s) in self.strips.into_iter().enumerate() {
            let strip = Strip {
                corner: point(s.at_mm),
                width: Mm(s.size_mm[0]),
                height: Mm(s.size_mm[1]),
            };
            zones.push(Zone {
                id: format!("barrier {}", i + 1),
                extent: ZoneExtent::FireBarrier(strip),
                board: s.board,
            });
        }
        let mut openings = Vec::new();
        for row in self.openings {
            let [up, storey] = row.up.unwrap_or([1, 0]);
            let [across, pitch] = row.across.unwrap_or([1, 0]);
            for j in 0..up {
                for i in 0..across {
                    openings.push(Opening {
                        id: format!("O{}", openings.len() + 1),
                        corner: point([row.at_mm[0] + i * pitch, row.at_mm[1] + j * storey]),
                        width: Mm(row.size_mm[0]),
                        height: Mm(row.size_mm[1]),
                    });
                }
            }
        }
        Wall {
            id: self.id,
            outline: self.outline_mm.into_iter().map(point).collect(),
            openings,
            base_line: self
                .base_line_mm
                .into_iter()
                .map(|b| BaseStep {
                    from: Mm(b[0]),
                    to: Mm(b[1]),
                    level: Mm(b[2]),
                })
                .collect(),
            zones,
            structural_joints: self
                .joints_mm
                .into_iter()
                .enumerate()
                .map(|(i, j)| StructuralJoint {
                    id: format!("J{}", i + 1),
                    x: Mm(j[0]),
                    gap: Mm(j[1]),
                })
                .collect(),
            keep_clear: self
                .cracks_mm
                .into_iter()
                .enumerate()
                .map(|(i, c)| KeepClear {
                    id: format!("K{}", i + 1),
                    from: point([c[0], c[1]]),
                    to: point([c[2], c[3]]),
                })
                .collect(),
            thickness: Mm(self.thickness_mm),
            bed: Mm(self.bed_mm),
        }
    }
}

/// Reads one instance.
pub fn read(path: &Path) -> Instance {
    let text = fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let name = path
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    Instance {
        name,
        title: file.title.clone(),
        aligned: file.aligned,
        job: file.into_job(),
    }
}

/// All instances, by file name.
pub fn all() -> Vec<Instance> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("instances");
    let mut paths: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.expect("entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    paths.iter().map(|p| read(p)).collect()
}
