//! What the service can build with.

use api::v1;
use catalogue::SourceFile;
use working::Fault;

use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::to_proto;

/// The articles of a branch.
///
/// # Errors
/// There is no such branch, or no article of that kind.
pub fn list_articles(
    wire: &v1::ListArticlesRequest,
    snapshot: &Snapshot,
) -> Result<v1::ListArticlesResponse, Refused> {
    let branch = snapshot.branch(&wire.branch)?;
    let articles = to_proto::listing(&branch.assortment, &wire.kind);
    if articles.is_empty() && !wire.kind.is_empty() {
        let all = to_proto::listing(&branch.assortment, "");
        let kinds = all.iter().filter_map(|a| a.key.split_once('.'));
        let kinds: std::collections::BTreeSet<&str> = kinds.map(|(kind, _)| kind).collect();
        return Err(Refused::unknown("kind", &wire.kind, kinds));
    }
    Ok(v1::ListArticlesResponse {
        provenance: Some(to_proto::provenance(
            &[],
            &branch.assortment,
            snapshot.rules(),
        )),
        articles,
        branches: snapshot.names().map(str::to_owned).collect(),
    })
}

/// The systems of a branch.
///
/// # Errors
/// There is no such branch.
pub fn list_systems(
    wire: &v1::ListSystemsRequest,
    snapshot: &Snapshot,
) -> Result<v1::ListSystemsResponse, Refused> {
    let branch = snapshot.branch(&wire.branch)?;
    Ok(v1::ListSystemsResponse {
        provenance: Some(to_proto::provenance(
            &[],
            &branch.assortment,
            snapshot.rules(),
        )),
        systems: to_proto::systems(&branch.assortment),
    })
}

/// One article.
///
/// # Errors
/// There is no such branch or article.
pub fn get_article(
    wire: &v1::GetArticleRequest,
    snapshot: &Snapshot,
) -> Result<v1::GetArticleResponse, Refused> {
    let branch = snapshot.branch(&wire.branch)?;
    let found = to_proto::article(&branch.assortment, &wire.key);
    let Some(mut answer) = found else {
        let listed = to_proto::listing(&branch.assortment, "");
        let systems = branch
            .assortment
            .systems
            .values()
            .map(|s| s.article.key.as_str());
        let known = listed.iter().map(|a| a.key.as_str()).chain(systems);
        return Err(Refused::unknown("key", &wire.key, known));
    };
    answer.provenance = Some(to_proto::provenance(
        &[],
        &branch.assortment,
        snapshot.rules(),
    ));
    Ok(answer)
}

/// The faults of catalogue files that are not taken up.
///
/// # Errors
/// There are no files.
pub fn check(wire: &v1::CheckRequest, _: &Snapshot) -> Result<v1::CheckResponse, Refused> {
    if wire.files.is_empty() {
        return Err(Refused::BadRequest(vec![Fault {
            path: "files".to_owned(),
            reason: "MISSING",
            found: "no files".to_owned(),
            expected: "at least one catalogue file".to_owned(),
        }]));
    }
    let files = wire.files.iter();
    let checked =
        Snapshot::over_embedded(files.map(|f| SourceFile::new(&f.path, &f.text)).collect());
    Ok(v1::CheckResponse {
        faults: to_proto::check(checked.faults()),
        sound_catalogues: checked.names().map(str::to_owned).collect(),
    })
}
