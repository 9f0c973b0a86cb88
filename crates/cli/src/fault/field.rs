//! The fields of the contract in the words of who gave them: a flag, a word in its place, a path below a job.

/// The rest of a sentence that begins with the field's own name, or with its whole path below the job.
pub(super) fn after_leaf<'text>(field: &str, description: &'text str) -> Option<&'text str> {
    let leaf = field.rsplit('.').next().unwrap_or(field);
    let path = below_job(field).unwrap_or(field);
    [path, leaf]
        .into_iter()
        .filter(|name| !name.is_empty())
        .filter_map(|name| description.strip_prefix(name))
        .find(|rest| rest.starts_with([' ', ':']))
}

/// A sentence without the `name:` or `parent:` in front of it: nobody typed such a word, and what was typed is in it.
pub(super) fn without_leaf<'text>(field: &str, description: &'text str) -> &'text str {
    match field.rsplit('.').next() {
        Some("name" | "parent") => after_leaf(field, description)
            .and_then(|rest| rest.strip_prefix(": "))
            .unwrap_or(description),
        _ => description,
    }
}

/// What a person calls a field of a request: the flag or the word in its place that gives it, the path below a job, or
/// nothing where the sentence alone says it. `region.build_up.tax_percent` is `--tax-percent`.
pub(super) fn named(field: &str) -> String {
    match below_job(field) {
        Some("name") => return String::new(),
        Some("etag") => return flag("etag"),
        Some(below) => return below.to_owned(),
        None => {}
    }
    let (thing, leaf) = match (field.split_once('.'), field.rsplit_once('.')) {
        (Some((thing, _)), Some((_, leaf))) => (thing, leaf),
        _ => ("", field),
    };
    match (thing, leaf) {
        (_, "price_date" | "on_date") => "--on".to_owned(),
        // Of a change of many prices, and of a quote.
        ("" | "start", "effect_date") => "--effect-on".to_owned(),
        ("" | "start", "close_missing_date") => "--close-missing".to_owned(),
        ("start", "format") => "--file-format".to_owned(),
        ("", "start_date") => "--from".to_owned(),
        ("", "date") => "--on".to_owned(),
        ("", "issue_date") => "--issued".to_owned(),
        ("", "validity_days") => "--valid".to_owned(),
        ("", "revised_quote") => "--revises".to_owned(),
        ("", "fixed_percent") => "--fixed".to_owned(),
        ("index", leaf) => flag(&format!("index_{}", leaf.trim_end_matches("_index"))),
        (_, _) if field.starts_with("provisional_reasons") => "--reason".to_owned(),
        (_, _) if field.starts_with("parts") => "--part".to_owned(),
        (_, _) if field.starts_with("materials[") => "--material".to_owned(),
        (
            "",
            "end_date" | "percent" | "places" | "group" | "supplier" | "client" | "note" | "state",
        ) => flag(field),
        ("", "request_id" | "list_version" | "material" | "grade" | "task" | "site") => flag(field),
        ("", "job_id" | "price_id" | "labour_rate_id" | "soil_test_id" | "mix_trial_id") => {
            flag("id")
        }
        // What trial mixes are asked for.
        (
            "",
            "soil_material"
            | "sand_material"
            | "clay_percent"
            | "target_clay_percent"
            | "step_percent"
            | "step_count",
        ) => flag(field),
        // What light straw-clay is asked for.
        ("", "density_kg_m3") => flag(field),
        ("", leaf) if leaf.ends_with("_id") => "ID".to_owned(),
        ("", _) | (_, "name") => String::new(),
        ("price", "material") => "MATERIAL".to_owned(),
        ("labour_rate", "grade") => "GRADE".to_owned(),
        ("labour_rate", _) if field.contains("burdens") => "--burden".to_owned(),
        ("price", _) if field.contains("breaks") => "--breaks".to_owned(),
        ("region", _) if field.contains("taxes") => "--tax".to_owned(),
        ("region", _) if field.contains("allowances") => "--allowance".to_owned(),
        ("mix" | "mix_trial", _) if field.contains("ingredients") => "--part".to_owned(),
        ("mix_trial", _) if field.contains("crushed") => "--crushed".to_owned(),
        ("mix_trial", _) if field.contains("broken") => "--broken".to_owned(),
        ("soil_test", _) if field.contains("observations") => "--observation".to_owned(),
        // A jar's protocol as a whole is given by its first mark.
        ("soil_test", "jar_protocol") => "--sand-mark-s".to_owned(),
        // A rule pack is given in a file, by keys of the same names.
        ("rule_pack", _) => field.trim_start_matches("rule_pack.").to_owned(),
        (_, _) if field.contains("make_up") => "--grade".to_owned(),
        (_, leaf) => flag(leaf),
    }
}

fn flag(field: &str) -> String {
    format!("--{}", field.replace('_', "-"))
}

/// The path of a field below the job of a request; none when it is not of the job's own.
pub(super) fn below_job(field: &str) -> Option<&str> {
    let field = field.strip_prefix("request.").unwrap_or(field);
    let below = field.strip_prefix("job")?;
    below.strip_prefix('.').or(below.is_empty().then_some(""))
}
