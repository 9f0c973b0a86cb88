//! The contract's own rules, as far as a machine can check them: names, comments, behaviour words, standard methods.
//! Reads the descriptors that the server hands out, so what is checked is what clients see.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message;
use prost_types::field_descriptor_proto::{Label, Type};
use prost_types::{
    DescriptorProto, EnumDescriptorProto, FieldDescriptorProto, FileDescriptorProto,
    FileDescriptorSet,
};

/// The files of the contract, with what is in them and their comments.
pub struct Contract {
    files: Vec<FileDescriptorProto>,
}

impl Contract {
    pub fn read() -> Self {
        let all = FileDescriptorSet::decode(hod_wire::DESCRIPTORS).expect("descriptors");
        let files: Vec<_> = all
            .file
            .into_iter()
            .filter(|file| file.name().starts_with("hod/"))
            .collect();
        assert!(10 <= files.len(), "{} files", files.len());
        Self { files }
    }

    fn messages(&self) -> impl Iterator<Item = &DescriptorProto> {
        self.files.iter().flat_map(|file| &file.message_type)
    }

    fn message(&self, name: &str) -> &DescriptorProto {
        self.messages()
            .find(|message| message.name() == name)
            .expect(name)
    }

    fn enums(&self) -> impl Iterator<Item = &EnumDescriptorProto> {
        self.files.iter().flat_map(|file| &file.enum_type)
    }

    /// Every element that a comment belongs to: its full name and the comment.
    fn elements(&self) -> Vec<(String, String)> {
        self.files.iter().flat_map(elements).collect()
    }

    pub fn comments(&self) -> BTreeMap<String, String> {
        self.elements().into_iter().collect()
    }

    fn methods(&self) -> BTreeMap<String, (String, String)> {
        let local = |name: &str| name.rsplit('.').next().unwrap_or_default().to_owned();
        let services = self.files.iter().flat_map(|file| &file.service);
        let methods = services.flat_map(|service| &service.method);
        methods
            .map(|method| {
                (
                    method.name().to_owned(),
                    (local(method.input_type()), local(method.output_type())),
                )
            })
            .collect()
    }
}

fn elements(file: &FileDescriptorProto) -> Vec<(String, String)> {
    let comment = |path: &[i32]| {
        let info = file.source_code_info.as_ref().expect("comments");
        let place = info.location.iter().find(|location| location.path == path);
        place
            .map(|place| place.leading_comments().trim().to_owned())
            .unwrap_or_default()
    };
    let mut all = Vec::new();
    for (m, message) in (0..).zip(&file.message_type) {
        all.push((message.name().to_owned(), comment(&[4, m])));
        for (f, field) in (0..).zip(&message.field) {
            all.push((
                format!("{}.{}", message.name(), field.name()),
                comment(&[4, m, 2, f]),
            ));
        }
        for (o, oneof) in (0..).zip(&message.oneof_decl) {
            let is_real = message
                .field
                .iter()
                .any(|field| field.oneof_index == Some(o) && !field.proto3_optional());
            if is_real {
                all.push((
                    format!("{}.{}", message.name(), oneof.name()),
                    comment(&[4, m, 8, o]),
                ));
            }
        }
        assert!(
            message.enum_type.is_empty(),
            "{}: enums stand on their own",
            message.name()
        );
    }
    for (e, list) in (0..).zip(&file.enum_type) {
        all.push((list.name().to_owned(), comment(&[5, e])));
        for (v, value) in (0..).zip(&list.value) {
            all.push((value.name().to_owned(), comment(&[5, e, 2, v])));
        }
    }
    for (s, service) in (0..).zip(&file.service) {
        all.push((service.name().to_owned(), comment(&[6, s])));
        for (r, method) in (0..).zip(&service.method) {
            all.push((
                format!("{}.{}", service.name(), method.name()),
                comment(&[6, s, 2, r]),
            ));
        }
    }
    all
}

fn fields_of(message: &DescriptorProto) -> Vec<&str> {
    message
        .field
        .iter()
        .map(FieldDescriptorProto::name)
        .collect()
}

#[test]
fn everything_is_in_one_package_that_ends_in_its_version() {
    for file in &Contract::read().files {
        assert_eq!(file.package(), "hod.v1", "{}", file.name());
        assert!(file.name().starts_with("hod/v1/"), "{}", file.name());
        assert_eq!(file.syntax(), "proto3", "{}", file.name());
    }
}

#[test]
fn every_element_is_commented_by_a_sentence() {
    for (element, comment) in Contract::read().elements() {
        assert!(2 < comment.len(), "{element} has no comment");
        assert!(
            comment.ends_with('.') || comment.ends_with(':'),
            "{element}: {comment}"
        );
    }
}

#[test]
fn every_field_says_whether_it_must_be_given() {
    let contract = Contract::read();
    let comments = contract.comments();
    for message in contract.messages() {
        for field in &message.field {
            let name = format!("{}.{}", message.name(), field.name());
            let in_oneof = field.oneof_index.is_some() && !field.proto3_optional();
            let asked = if in_oneof {
                let oneof = &message.oneof_decl[field.oneof_index.unwrap_or_default() as usize];
                comments[&format!("{}.{}", message.name(), oneof.name())].clone()
            } else {
                comments[&name].clone()
            };
            let behaviours = ["Required. ", "Optional. ", "Output only. ", "Identifier. "];
            assert!(
                behaviours.iter().any(|word| asked.starts_with(word)),
                "{name}: {asked}"
            );
        }
    }
}

#[test]
fn a_request_has_nothing_that_only_an_answer_has() {
    let contract = Contract::read();
    let comments = contract.comments();
    let in_messages = |suffix: &'static str| {
        contract
            .messages()
            .filter(move |m| m.name().ends_with(suffix))
    };
    for message in in_messages("Request") {
        for field in fields_of(message) {
            let name = format!("{}.{field}", message.name());
            let Some(comment) = comments.get(&name) else {
                continue;
            };
            assert!(!comment.starts_with("Output only."), "{name}");
        }
    }
    for message in in_messages("Response") {
        for field in fields_of(message) {
            let name = format!("{}.{field}", message.name());
            // One of several that are told as a whole.
            let is_choice = is_choice(message, field);
            assert!(
                is_choice || comments[&name].starts_with("Output only."),
                "{name}"
            );
        }
    }
}

#[test]
fn no_number_is_floating_or_unsigned() {
    for message in Contract::read().messages() {
        for field in &message.field {
            let is_refused = matches!(
                field.r#type(),
                Type::Float
                    | Type::Double
                    | Type::Uint32
                    | Type::Uint64
                    | Type::Fixed32
                    | Type::Fixed64
            );
            assert!(
                !is_refused,
                "{}.{}: {:?}",
                message.name(),
                field.name(),
                field.r#type()
            );
        }
    }
}

#[test]
fn names_are_lower_snake_case_and_whole_numbers_are_counts_or_sizes() {
    let whole = [
        "page_size",
        "number",
        "index",
        "count",
        "version",
        "list_version",
        "row",
        "trips",
        "visits",
        "places",
        "days",
        "lead_days",
        "validity_days",
        "variation_days",
        "retention_months",
        "revised_number",
    ];
    for message in Contract::read().messages() {
        for field in &message.field {
            let (name, of) = (field.name(), message.name());
            let is_snake = name.starts_with(|c: char| c.is_ascii_lowercase())
                && name
                    .bytes()
                    .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
                && !name.contains("__")
                && !name.ends_with('_');
            assert!(is_snake, "{of}.{name}");
            if matches!(field.r#type(), Type::Int32 | Type::Int64) {
                assert!(
                    name.ends_with("_count") || whole.contains(&name),
                    "{of}.{name} is a whole number"
                );
            }
        }
    }
}

#[test]
fn a_decimal_says_its_unit_or_is_money_or_a_plain_number_of_the_trade() {
    let units = [
        "_m",
        "_mm",
        "_m2",
        "_m3",
        "_l",
        "_kg",
        "_kg_m3",
        "_percent",
        "_deg",
        "_hours",
        "_per_hour",
        "_per_m3",
        "_s",
        "_min",
        "_h",
        "_celsius",
        "_kn",
        "_kpa",
        "_percent_low",
        "_percent_high",
        "_km",
        "_t",
        "_charge",
        "_amount",
        "_index",
    ];
    // Told in the unit beside them or that their kind names, in the currency of the answer, or as a number of parts,
    // buckets or times.
    let plain = [
        "value",
        "quantity",
        "net_quantity",
        "unit_price",
        "amount",
        "hours",
        "parts",
        "buckets_per_part",
        "ties_per_piece",
        "order_step",
        "limit",
        "found",
        "sand_parts",
        "sand_to_soil_by_mass",
        "hours_factor",
        "percent",
        "round_price_to",
        "charge_per_load",
        "charge_per_km",
        "distance_km",
        "paid_hours",
        "productive_hours",
        "factor",
    ];
    let contract = Contract::read();
    let comments = contract.comments();
    for message in contract.messages() {
        for field in message
            .field
            .iter()
            .filter(|field| field.r#type() == Type::String)
        {
            let name = format!("{}.{}", message.name(), field.name());
            let comment = comments.get(&name).map(String::as_str).unwrap_or_default();
            let has_unit = units.iter().any(|unit| field.name().ends_with(unit));
            let has_range =
                comment.contains(" to ") && comment.contains(|c: char| c.is_ascii_digit());
            if has_range
                && !["`", "ISO", "characters"]
                    .iter()
                    .any(|word| comment.contains(word))
            {
                assert!(
                    has_unit || plain.contains(&field.name()),
                    "{name}: {comment}"
                );
            }
        }
    }
}

#[test]
fn the_zero_of_every_enum_means_unspecified_and_all_its_values_begin_with_its_name() {
    for list in Contract::read().enums() {
        let mut prefix = String::new();
        for character in list.name().chars() {
            if character.is_ascii_uppercase() && !prefix.is_empty() {
                prefix.push('_');
            }
            prefix.push(character.to_ascii_uppercase());
        }
        assert_eq!(list.value[0].name(), format!("{prefix}_UNSPECIFIED"));
        assert_eq!(list.value[0].number(), 0, "{prefix}");
        let numbers: BTreeSet<i32> = list.value.iter().map(|value| value.number()).collect();
        assert_eq!(numbers.len(), list.value.len(), "{prefix} has no aliases");
        for value in &list.value {
            assert!(
                value.name().starts_with(&format!("{prefix}_")),
                "{}",
                value.name()
            );
        }
    }
}

#[test]
fn every_method_has_a_request_of_its_own() {
    let methods = Contract::read().methods();
    for (method, (request, _)) in &methods {
        assert_eq!(request, &format!("{method}Request"));
    }
}

#[test]
fn the_name_of_every_resource_is_its_first_field() {
    let contract = Contract::read();
    let resources = resources(&contract);
    assert_eq!(resources.len(), 15, "{resources:?}");
    for resource in resources {
        let first = &contract.message(&resource).field[0];
        assert_eq!(
            (first.name(), first.number(), first.r#type()),
            ("name", 1, Type::String),
            "{resource}"
        );
    }
}

/// What is read by a method that gets it.
fn resources(contract: &Contract) -> Vec<String> {
    let methods = contract.methods();
    let gets = methods
        .iter()
        .filter(|(method, _)| method.starts_with("Get"));
    gets.map(|(_, (_, answer))| answer.clone()).collect()
}

#[test]
fn what_is_got_is_asked_for_by_its_name() {
    let contract = Contract::read();
    for (method, (request, answer)) in contract.methods() {
        if let Some(noun) = method.strip_prefix("Get") {
            assert_eq!(answer, noun);
            let asked = fields_of(contract.message(&request));
            // Of a quote the client sees less than the firm does.
            let expected: &[&str] = match noun {
                "Quote" => &["name", "view"],
                _ => &["name"],
            };
            assert_eq!(asked, expected, "{request}");
        }
    }
}

#[test]
fn every_list_comes_in_pages() {
    let contract = Contract::read();
    let mut lists = 0;
    for (method, (request, answer)) in contract.methods() {
        if !method.starts_with("List") {
            continue;
        }
        lists += 1;
        let asked = fields_of(contract.message(&request));
        assert!(
            asked.contains(&"page_size") && asked.contains(&"page_token"),
            "{request}"
        );
        let told = contract.message(&answer);
        assert_eq!(told.field[0].label(), Label::Repeated, "{answer}");
        assert_eq!(told.field[0].number(), 1, "{answer}");
        assert_eq!(fields_of(told)[1..], ["next_page_token"], "{answer}");
    }
    assert_eq!(lists, 15);
}

#[test]
fn what_makes_or_changes_something_can_be_sent_again_and_tried_without_keeping() {
    let contract = Contract::read();
    let mut acts = 0;
    for (method, (request, _)) in contract.methods() {
        let verbs = [
            "Create", "Update", "Delete", "Issue", "Accept", "Decline", "Expire", "Close", "Adjust",
        ];
        let verb = verbs.into_iter().find(|verb| method.starts_with(verb));
        let Some(verb) = verb else { continue };
        acts += 1;
        let fields = fields_of(contract.message(&request));
        for needed in ["request_id", "validate_only"] {
            assert!(fields.contains(&needed), "{request} has no {needed}");
        }
        let noun = snake(&method[verb.len()..]);
        // Estimates and variations are named by the server.
        if verb == "Create" && !["estimate", "variation"].contains(&noun.as_str()) {
            assert!(
                fields.contains(&format!("{noun}_id").as_str()),
                "{request}: {fields:?}"
            );
            assert!(fields.contains(&noun.as_str()), "{request}: {fields:?}");
        }
        if verb == "Update" {
            assert_eq!(fields[..2], [noun.as_str(), "update_mask"], "{request}");
        }
    }
    assert_eq!(acts, 29);
}

#[test]
fn what_can_be_changed_or_deleted_has_an_etag() {
    let contract = Contract::read();
    for (method, (request, answer)) in contract.methods() {
        let holder = if method.starts_with("Update") {
            answer
        } else if method.starts_with("Delete") {
            request
        } else {
            continue;
        };
        assert!(
            fields_of(contract.message(&holder)).contains(&"etag"),
            "{holder}"
        );
    }
}

#[test]
fn what_can_be_made_and_read_has_the_time_when_it_was_made() {
    let contract = Contract::read();
    for resource in resources(&contract) {
        let message = contract.message(&resource);
        let time = message
            .field
            .iter()
            .find(|field| field.name() == "create_time")
            .expect(&resource);
        assert_eq!(time.type_name(), ".google.protobuf.Timestamp", "{resource}");
    }
}

/// Whether a field is one of several of which a message has one.
fn is_choice(message: &DescriptorProto, name: &str) -> bool {
    let mut fields = message.field.iter();
    let field = fields.find(|field| field.name() == name);
    field.is_some_and(|field| field.oneof_index.is_some() && !field.proto3_optional())
}

fn snake(name: &str) -> String {
    let mut snake = String::new();
    for character in name.chars() {
        if character.is_ascii_uppercase() && !snake.is_empty() {
            snake.push('_');
        }
        snake.push(character.to_ascii_lowercase());
    }
    snake
}
