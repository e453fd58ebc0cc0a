//! Overlays: what a branch may say, what it inherits, and what moves the revision.

use catalogue::{Assembly, CatalogueFault, Catalogues, Fact, SourceFile};
use quantity::Mm;

const HEADING: &str = "format = 1\n[catalogue]\nname = \"base\"\ncurrency = \"EUR\"\n";
const BOARD: &str = r#"format = 1
# The board.
[board.plain]
name = "Plain board"
source = "demo value"
insulant = "expanded polystyrene"
length-mm = 1000
height-mm = 500
conductivity-w-per-mk = 0.039
density-kg-per-m3 = 15
specific-heat-j-per-kgk = 1450
vapour-resistance-factor = 60
reaction-to-fire = "E"
bonded-share-min = 0.4
metadata = { article-number = "1", shelf = "A" }
[board.plain.thickness.100]
boards-per-pack = 6
price = "24.60"
[board.plain.thickness.120]
boards-per-pack = 5
price = "24.60"
"#;

fn branch(heading: &str, articles: &str) -> Vec<SourceFile> {
    vec![
        SourceFile::new("base/catalogue.toml", HEADING),
        SourceFile::new("base/boards.toml", BOARD),
        SourceFile::new(
            "branch/catalogue.toml",
            format!("format = 1\n[catalogue]\nname = \"branch\"\n{heading}\n{articles}"),
        ),
    ]
}

fn assemble(files: Vec<SourceFile>, name: &str) -> Result<Assembly, Vec<CatalogueFault>> {
    Catalogues::read(files).assemble(name)
}

fn euro(articles: &str) -> Assembly {
    let files = branch("currency = \"EUR\"\nextends = \"base\"", articles);
    assemble(files, "branch").unwrap_or_else(|faults| panic!("{}", faults[0]))
}

#[test]
fn a_branch_of_prices_and_stock_inherits_everything_else() {
    let assembly = euro("[board.plain.thickness.100]\nprice = \"25.10\"\nstock-packs = 7\n");
    let board = &assembly.assortment.boards["plain"];
    let thick = |mm| board.stocked(Mm(mm)).unwrap();
    assert_eq!(thick(100).supply.price.unwrap().to_string(), "25.10 EUR");
    assert_eq!(thick(100).supply.stock_packs, Some(7));
    assert_eq!(thick(100).boards_per_pack, 6);
    assert_eq!(thick(120).supply.price.unwrap().to_string(), "24.60 EUR");
    assert_eq!(board.conductivity.as_w_per_mk(), 0.039);
    assert_eq!(assembly.parents, ["base"]);
}

#[test]
fn every_value_keeps_the_file_and_line_it_was_written_in() {
    let assembly = euro("[board.plain.thickness.100]\nprice = \"25.10\"\n");
    let origin = |key: &str| {
        let origin = &assembly.origins[key];
        (origin.file.as_str(), origin.line)
    };
    assert_eq!(
        origin("board.plain.thickness.100.price"),
        ("branch/catalogue.toml", 7)
    );
    assert_eq!(
        origin("board.plain.thickness.120.price"),
        ("base/boards.toml", 21)
    );
    assert_eq!(
        origin("board.plain.conductivity-w-per-mk"),
        ("base/boards.toml", 9)
    );
}

#[test]
fn metadata_is_laid_over_word_by_word() {
    let assembly = euro("[board.plain.metadata]\narticle-number = 4711\nbay = \"C4\"\n");
    let words = &assembly.assortment.boards["plain"].article.metadata;
    let pairs: Vec<(&str, &str)> = words
        .iter()
        .map(|(k, v)| (k.as_str(), v.as_str()))
        .collect();
    assert_eq!(
        pairs,
        [("article-number", "4711"), ("bay", "C4"), ("shelf", "A")]
    );
}

#[test]
fn a_size_or_an_article_is_taken_out_and_may_come_back_in_a_further_branch() {
    let thin = euro("[board.plain.thickness.120]\nwithdrawn = true\n");
    assert!(thin.assortment.boards["plain"].stocked(Mm(120)).is_none());
    let mut files = branch(
        "currency = \"EUR\"\nextends = \"base\"",
        "[board.plain]\nwithdrawn = true\n",
    );
    let grandchild = "format = 1\n[catalogue]\nname = \"yard\"\ncurrency = \"EUR\"\nextends = \"branch\"\n[board.plain]\nwithdrawn = false\n";
    files.push(SourceFile::new("yard/catalogue.toml", grandchild));
    let catalogues = Catalogues::read(files);
    assert!(
        catalogues
            .assemble("branch")
            .unwrap()
            .assortment
            .boards
            .is_empty()
    );
    assert_eq!(
        catalogues.assemble("yard").unwrap().assortment.boards.len(),
        1
    );
}

#[test]
fn prices_of_another_currency_are_not_taken_over() {
    let files = branch(
        "currency = \"DKK\"\nextends = \"base\"",
        "[board.plain.thickness.100]\nprice = \"190\"\n",
    );
    let assortment = assemble(files, "branch").unwrap().assortment;
    let board = &assortment.boards["plain"];
    let price = |mm| {
        board
            .stocked(Mm(mm))
            .unwrap()
            .supply
            .price
            .map(|p| p.to_string())
    };
    assert_eq!(price(100).as_deref(), Some("190.00 DKK"));
    assert_eq!(price(120), None);
    assert_eq!(assortment.currency.code(), "DKK");
}

#[test]
fn a_faulty_branch_tells_its_own_faults_and_those_of_its_parents() {
    let mut files = branch(
        "currency = \"EUR\"\nextends = \"base\"",
        "[board.plain]\nkerf-mm = -1\n",
    );
    files[1].text = BOARD.replace("0.039", "\"0.039\"");
    let catalogues = Catalogues::read(files);
    let places: Vec<(String, u32)> = catalogues
        .assemble("branch")
        .unwrap_err()
        .into_iter()
        .map(|f| (f.file, f.line))
        .collect();
    assert_eq!(
        places,
        [
            ("base/boards.toml".into(), 9),
            ("branch/catalogue.toml".into(), 7)
        ]
    );
    assert_eq!(catalogues.assemble("base").unwrap_err().len(), 1);
}

#[test]
fn a_chain_of_parents_is_bounded() {
    let files = (0..12)
        .map(|n| {
            let text = format!(
                "format = 1\n[catalogue]\nname = \"c{n}\"\ncurrency = \"EUR\"\nextends = \"c{}\"\n",
                n + 1
            );
            SourceFile::new(format!("c{n}/catalogue.toml"), text)
        })
        .collect();
    let faults = assemble(files, "c0").unwrap_err();
    assert!(
        faults
            .iter()
            .any(|f| matches!(f.fact, Fact::ChainTooLong { limit: 8 }))
    );
}

fn revision(files: Vec<SourceFile>) -> String {
    assemble(files, "base").unwrap().assortment.revision
}

fn base(board: &str) -> Vec<SourceFile> {
    vec![
        SourceFile::new("base/catalogue.toml", HEADING),
        SourceFile::new("base/boards.toml", board),
    ]
}

#[test]
fn comments_order_and_layout_do_not_move_the_revision() {
    let first = revision(base(BOARD));
    let lines: Vec<&str> = BOARD.lines().collect();
    let (head, tail) = lines.split_at(15);
    let turned = format!(
        "{}\n# moved\n{}\n{}\n\n",
        head[0],
        tail.join("\n"),
        head[2..].join("\n")
    );
    assert_eq!(revision(base(&turned)), first);
    let written = BOARD
        .replace("0.039", "3.9e-2")
        .replace("1000", "1_000")
        .replace("\"24.60\"", "\"24.6\"");
    assert_eq!(revision(base(&written)), first);
    let one_file = format!("{HEADING}{}", BOARD.replace("format = 1\n", ""));
    assert_eq!(
        revision(vec![SourceFile::new("elsewhere/catalogue.toml", one_file)]),
        first
    );
    assert_eq!(first.len(), 32);
}

#[test]
fn a_price_a_number_a_name_and_a_source_move_the_revision() {
    let mut seen = vec![revision(base(BOARD))];
    for (from, to) in [
        ("24.60", "24.61"),
        ("0.039", "0.038"),
        ("Plain board", "Plain boards"),
        ("demo value", "another"),
        ("shelf = \"A\"", "shelf = \"B\""),
        ("boards-per-pack = 5", "boards-per-pack = 4"),
    ] {
        let changed = revision(base(&BOARD.replace(from, to)));
        assert!(!seen.contains(&changed), "{from}");
        seen.push(changed);
    }
}

#[test]
fn the_shipped_branches_say_what_they_are_there_to_show() {
    let read = |label: &str| {
        let path = format!("{}/../catalogues/{label}", env!("CARGO_MANIFEST_DIR"));
        SourceFile::new(label, std::fs::read_to_string(path).unwrap())
    };
    let generic = [
        "anchors",
        "boards",
        "catalogue",
        "coats",
        "hygric",
        "linear",
        "mortars",
        "parts",
        "systems",
    ];
    let mut files: Vec<SourceFile> = generic
        .iter()
        .map(|f| read(&format!("generic/{f}.toml")))
        .collect();
    for file in [
        "north-branch/catalogue",
        "north-branch/prices",
        "island-branch/catalogue",
        "island-branch/hemp",
        "island-branch/prices",
    ] {
        files.push(read(&format!("examples/{file}.toml")));
    }
    let catalogues = Catalogues::read(files);
    let [generic, north, island] = ["generic", "north-branch", "island-branch"]
        .map(|n| catalogues.assemble(n).unwrap().assortment);
    // The north branch differs in prices and stock and in nothing else.
    let mut bare = north.clone();
    let board = |stock: &material::Assortment| stock.boards["eps-white"].clone();
    for (own, base) in bare
        .boards
        .get_mut("eps-white")
        .unwrap()
        .thicknesses
        .iter_mut()
        .zip(board(&generic).thicknesses)
    {
        own.supply = base.supply;
    }
    assert_eq!(board(&bare), board(&generic));
    assert_ne!(board(&north), board(&generic));
    assert_eq!(north.systems, generic.systems);
    assert_eq!(island.systems.len(), generic.systems.len() + 1);
    assert!(!island.anchors.contains_key("nail-plastic"));
    assert!(
        !island.systems["eps-white"]
            .anchors
            .contains(&"nail-plastic".to_owned())
    );
    assert!(
        island.boards["mineral-wool"]
            .thicknesses
            .iter()
            .all(|t| t.supply.price.is_none())
    );
}
