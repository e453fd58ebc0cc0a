//! Prints the table of results: every instance against the bounds and against the pencil layout.
//!
//! `cargo run --release -p tests --example setting_out_table`

#[path = "../properties/setting_out/checker.rs"]
mod checker;
#[path = "../properties/setting_out/instance.rs"]
mod instance;

use std::time::Instant;

use setting_out::PencilCourses;

fn main() {
    println!(
        "| instance | LB area | LB eff | boards | over LB area | cuts | breaches | half bond, clear courses: boards / cuts / breaches | half bond, whole courses | targets | checker | ms |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|---|");
    let only: Option<String> = std::env::args().nth(1).filter(|a| !a.starts_with('-'));
    for case in instance::all()
        .into_iter()
        .filter(|c| only.as_ref().is_none_or(|o| c.name.contains(o.as_str())))
    {
        let start = Instant::now();
        let layout = match setting_out::set_out(&case.job) {
            Ok(layout) => layout,
            Err(faults) => {
                for fault in faults {
                    println!("{}: {fault}", case.name);
                }
                continue;
            }
        };
        let time = start.elapsed().as_secs_f64() * 1e3;
        let verdict = checker::check(&case.job, &layout);
        let [whole, clear] = [PencilCourses::Whole, PencilCourses::Clear]
            .map(|courses| setting_out::half_bond(&case.job, courses).expect("same faults"));
        let total = |pick: fn(&setting_out::ProductSum) -> u32, l: &setting_out::Layout| -> u32 {
            l.products.iter().map(pick).sum()
        };
        let boards = total(|p| p.boards, &layout);
        let (area, eff) = verdict
            .bounds
            .iter()
            .fold((0, 0), |s, b| (s.0 + b.0, s.1 + b.1));
        let cuts = total(|p| p.cuts, &layout);
        let pencil = |l: &setting_out::Layout| {
            let (boards, cuts) = (total(|p| p.boards, l), total(|p| p.cuts, l));
            format!("{boards} / {cuts} / {}", l.breaches.len())
        };
        let missed = [
            (!meets(case.aligned, boards, (area, eff))).then_some("boards"),
            (cuts > total(|p| p.cuts, &clear)).then_some("cuts"),
        ];
        let missed: Vec<&str> = missed.into_iter().flatten().collect();
        println!(
            "| {} | {area} | {eff} | {boards} | {:.1} % | {cuts} | {} | {} | {} | {} | {} | {time:.0} |",
            case.name.replace('_', " "),
            (f64::from(boards) / f64::from(area) - 1.0) * 100.0,
            layout.breaches.len(),
            pencil(&clear),
            pencil(&whole),
            if missed.is_empty() {
                "met".to_string()
            } else {
                format!("{} missed", missed.join(" and "))
            },
            if verdict.wrong.is_empty() {
                "sound".to_string()
            } else {
                format!("{} WRONG", verdict.wrong.len())
            },
        );
        if std::env::args().any(|a| a == "--detail") {
            for wrong in verdict.wrong.iter().take(8) {
                println!("    wrong: {wrong}");
            }
            for b in layout.breaches.iter().take(12) {
                println!(
                    "    breach: {:?} wall {} at {:?} {}",
                    b.rule, b.wall, b.at, b.what
                );
            }
            println!(
                "    {}: steps {} {:?}",
                case.title, layout.steps, layout.stopped
            );
            for p in &layout.products {
                let board = &case.job.boards[p.product];
                let unit = f64::from(board.length.0) * f64::from(board.height.0);
                println!(
                    "    {}: {} boards, bounds {} {}, offcuts {:.1} boards, scrap {:.1} boards",
                    board.key,
                    p.boards,
                    p.lb_area,
                    p.lb_eff,
                    p.offcut_area_mm2 as f64 / unit,
                    p.scrap_area_mm2 as f64 / unit
                );
                let own: Vec<_> = layout
                    .offcuts
                    .iter()
                    .filter(|o| o.product == p.product)
                    .collect();
                let list: Vec<String> = own
                    .iter()
                    .map(|o| format!("{}x{}", o.width.0, o.height.0))
                    .take(40)
                    .collect();
                println!("    {} offcuts: {}", own.len(), list.join(" "));
            }
        }
    }
}

/// Over 50 boards with aligned courses: `ceil(1.015 LB_eff) + 1`. Any other: 4 % over `LB_area`, at least one board.
fn meets(aligned: bool, boards: u32, (area, eff): (u32, u32)) -> bool {
    if aligned && boards > 50 {
        boards <= (f64::from(eff) * 1.015).ceil() as u32 + 1
    } else {
        boards <= ((f64::from(area) * 1.04).floor() as u32).max(area + 1)
    }
}
