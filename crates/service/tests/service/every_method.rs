//! What holds for every method there is, found through the descriptors: none answers without a token, none takes bytes
//! that are not its message, and none goes untried by these tests.

use std::str::FromStr;

use http::uri::PathAndQuery;
use prost_reflect::{DescriptorPool, MethodDescriptor};
use tonic::client::Grpc;
use tonic::metadata::MetadataMap;
use tonic::{Code, Request, Status};

use crate::support::{Bytes, Ground, reason};

fn methods() -> Vec<MethodDescriptor> {
    let pool = DescriptorPool::decode(hod_wire::DESCRIPTORS).expect("descriptors");
    let methods: Vec<_> = pool
        .services()
        .flat_map(|service| service.methods().collect::<Vec<_>>())
        .collect();
    assert_eq!(methods.len(), 70, "how many methods there are");
    methods
}

/// Calls a method with these bytes. A stream is asked with one message.
async fn call(ground: &Ground, method: &MethodDescriptor, token: &str, sent: &[u8]) -> Status {
    let path = format!("/{}/{}", method.parent_service().full_name(), method.name());
    let path = PathAndQuery::from_str(&path).expect("a path");
    let mut metadata = MetadataMap::new();
    if !token.is_empty() {
        metadata.insert("authorization", token.parse().expect("a header"));
    }
    let mut grpc = Grpc::new(ground.client.channel.clone());
    grpc.ready().await.expect("a connection");
    if method.is_client_streaming() {
        let request = Request::from_parts(
            metadata,
            Default::default(),
            tokio_stream::iter([sent.to_vec()]),
        );
        match grpc.streaming(request, path, Bytes).await {
            Err(status) => status,
            Ok(answers) => match answers.into_inner().message().await {
                Err(status) => status,
                Ok(answer) => panic!("{}: {answer:?}", method.full_name()),
            },
        }
    } else {
        let request = Request::from_parts(metadata, Default::default(), sent.to_vec());
        grpc.unary(request, path, Bytes)
            .await
            .expect_err(method.full_name())
    }
}

#[tokio::test]
async fn no_method_answers_without_a_token_that_is_known() {
    let ground = Ground::with_library().await;
    let good = &ground.firm.token;
    let last = if good.ends_with('A') { "B" } else { "A" };
    let unknown = format!("Bearer {}{last}", &good[..good.len() - 1]);
    for method in methods() {
        for token in [
            "",
            "Bearer",
            "Bearer hod_short",
            &unknown,
            &format!("Basic {good}"),
            good,
        ] {
            let refused = call(&ground, &method, token, &[]).await;
            assert_eq!(
                reason(&refused),
                (Code::Unauthenticated, "UNAUTHENTICATED".to_owned()),
                "{token}"
            );
            // Whatever is wrong with it, the same is said.
            assert_eq!(
                refused.message(),
                "a valid token is needed: send `authorization: Bearer TOKEN`"
            );
        }
    }
}

#[tokio::test]
async fn no_method_takes_bytes_that_are_not_its_message() {
    let ground = Ground::with_library().await;
    let token = format!("Bearer {}", ground.firm.token);
    for method in methods() {
        for junk in [
            &b"\xff\xff\xff\xff"[..],
            b"{\"name\": \"regions/a\"}",
            b"\x0a\xff\xff\xff\xff\x0f",
        ] {
            let refused = call(&ground, &method, &token, junk).await;
            assert_eq!(
                reason(&refused),
                (Code::InvalidArgument, "NOT_A_MESSAGE".to_owned()),
                "{} {junk:?}",
                method.full_name()
            );
        }
    }
}

#[tokio::test]
async fn an_unknown_method_is_told_where_to_find_the_known_ones() {
    let ground = Ground::with_library().await;
    let token = format!("Bearer {}", ground.firm.token);
    for path in [
        "/hod.v1.RegionService/DeleteRegion",
        "/hod.v2.RegionService/GetRegion",
        "/nothing",
    ] {
        let mut grpc = Grpc::new(ground.client.channel.clone());
        grpc.ready().await.expect("a connection");
        let mut request = Request::new(Vec::new());
        request
            .metadata_mut()
            .insert("authorization", token.parse().expect("a header"));
        let refused = grpc
            .unary(request, PathAndQuery::from_static(path), Bytes)
            .await
            .expect_err(path);
        assert_eq!(
            reason(&refused),
            (Code::Unimplemented, "UNKNOWN_METHOD".to_owned()),
            "{path}"
        );
    }
}

#[test]
fn every_method_is_called_by_a_test_that_knows_it() {
    let sources = [
        include_str!("again.rs"),
        include_str!("compare.rs"),
        include_str!("crews.rs"),
        include_str!("estimates.rs"),
        include_str!("jobs.rs"),
        include_str!("labour_constants.rs"),
        include_str!("labour_rates.rs"),
        include_str!("materials.rs"),
        include_str!("mix_trials.rs"),
        include_str!("mixes.rs"),
        include_str!("price_files.rs"),
        include_str!("price_rules.rs"),
        include_str!("prices.rs"),
        include_str!("purchase_plans.rs"),
        include_str!("quote_states.rs"),
        include_str!("quotes.rs"),
        include_str!("regions.rs"),
        include_str!("rule_packs.rs"),
        include_str!("sites.rs"),
        include_str!("soil_tests.rs"),
        include_str!("straw_clay.rs"),
        include_str!("stream.rs"),
        include_str!("trial_mixes.rs"),
        include_str!("variations.rs"),
    ];
    for method in methods() {
        let mut call = String::from(".");
        for character in method.name().chars() {
            if character.is_ascii_uppercase() && 1 < call.len() {
                call.push('_');
            }
            call.push(character.to_ascii_lowercase());
        }
        call.push('(');
        let calls: usize = sources
            .iter()
            .map(|source| source.matches(&call).count())
            .sum();
        // Once as it should be and once refused.
        assert!(2 <= calls, "{} is called {calls} times", method.full_name());
    }
}
