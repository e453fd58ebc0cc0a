//! Elevations, cutting sheets and plots as SVG text, in millimetres on paper.
//!
//! What it answers: how a facade's boards, anchors, reinforcement and dimensions look on A3 sheets that a foreman can read
//! in black and white, and how a wall's temperatures, moisture, costs and utilisations look as plots. What it does not know:
//! how any of it was computed. Its inputs are plain types of its own, its output is text, and the same input gives the same bytes.
//!
//! ```
//! use drawing::{ElevationDrawing, ElevationOptions, PieceDrawing, PieceKind, Point, Rectangle, chains_of, elevation};
//! let outline = Rectangle::at(0, 0, 4000, 2500).corners().to_vec();
//! let drawing = ElevationDrawing {
//!     dimensions: chains_of(&outline, &[], &[]),
//!     pieces: vec![PieceDrawing { number: 1, outline: Rectangle::at(0, 0, 1000, 500).corners().to_vec(), kind: PieceKind::Whole }],
//!     outline,
//!     ..ElevationDrawing::default()
//! };
//! let sheets = elevation(&drawing, &ElevationOptions::boards()).unwrap();
//! assert_eq!(sheets.len(), 1);
//! assert_eq!(sheets[0].scale, Some(20));
//! assert!(sheets[0].svg.starts_with("<svg"));
//! ```
#![no_std]
extern crate alloc;

mod axes;
mod cutting;
mod elevation;
mod geometry;
mod lettering;
mod list;
mod plot;
mod sheet;
mod svg;

pub use axes::Ticks;
pub use cutting::{
    CUT_BOARD_SIZE_MAX, CUT_BOARDS_MAX, CUT_PARTS_MAX, CutBoard, CutLine, CutPart, CuttingSheet,
    PartTop, PartUse, cutting_sheets,
};
pub use elevation::{
    AnchorDrawing, AnchorKind, BeadKind, BeadLine, BreachMark, ChainSide, CrackLine,
    DimensionChain, ELEVATION_LIMITS, ElementLoad, ElevationDrawing, ElevationLimits,
    ElevationOptions, FixtureMark, JointDrawing, Layer, MeshStrip, OpeningCorner, OpeningDrawing,
    OpeningFoot, OpeningRows, PieceDrawing, PieceKind, Point, Rectangle, Scale, SillEnd, SillSide,
    SlotDrawing, ZoneDrawing, chains_of, elevation, level, utilisation_picture,
};
pub use geometry::Hatch;
pub use lettering::Lettering;
pub use list::{LIST_LINES_MAX, ListSection, Lists, list_sheets};
pub use plot::{
    AmountRange, CondensatePlot, CondensationPlane, CostPlot, CostPoint, Curve, DetailRectangle,
    DryingPlot, FieldMark, InputBar, IsothermPlot, LimitLine, PLOT_ITEMS_MAX, PLOT_POINTS_MAX,
    PLOT_WIDTH_MM, PlaneCondensate, ProfileLayer, SavingPlot, SwingPlot, TemperatureField,
    WallProfile, condensate_plot, cost_plot, drying_plot, isotherm_plot, isotherms, saving_plot,
    swing_plot, wall_profile,
};
pub use sheet::{SHEET_HEIGHT_MM, SHEET_WIDTH_MM, Sheet, TitleBlock};
