//! What every client relies on beside the methods themselves: health, reflection of both versions, gzip, request ids,
//! and a log that tells what happened and nothing that it should not.

use hod_wire::v1::{ListRegionsRequest, MeasureJobRequest, measure_job_request};
use prost::Message;
use prost_types::FileDescriptorProto;
use tonic::codec::CompressionEncoding;
use tonic::{Code, Request};
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_check_response::ServingStatus;
use tonic_health::pb::health_client::HealthClient;

use crate::support::{Client, Ground, region, studio};

#[tokio::test]
async fn health_is_told_of_the_whole_and_of_each_service_without_a_token() {
    let ground = Ground::with_library().await;
    let mut health = HealthClient::new(ground.client.channel.clone());
    for service in ["", "hod.v1.EstimationService", "hod.v1.SoilTestService"] {
        let told = health
            .check(HealthCheckRequest {
                service: service.into(),
            })
            .await
            .expect(service)
            .into_inner();
        assert_eq!(told.status(), ServingStatus::Serving, "{service}");
    }
    let unknown = health
        .check(HealthCheckRequest {
            service: "hod.v1.Nothing".into(),
        })
        .await
        .expect_err("unknown");
    assert_eq!(unknown.code(), Code::NotFound);
}

macro_rules! reflects {
    ($name:ident, $version:ident) => {
        #[tokio::test]
        async fn $name() {
            use tonic_reflection::pb::$version::ServerReflectionRequest;
            use tonic_reflection::pb::$version::server_reflection_client::ServerReflectionClient;
            use tonic_reflection::pb::$version::server_reflection_request::MessageRequest;
            use tonic_reflection::pb::$version::server_reflection_response::MessageResponse;

            let ground = Ground::with_library().await;
            let mut reflection = ServerReflectionClient::new(ground.client.channel.clone());
            let ask = |message| ServerReflectionRequest {
                host: String::new(),
                message_request: Some(message),
            };
            let asked = tokio_stream::iter(vec![
                ask(MessageRequest::ListServices(String::new())),
                ask(MessageRequest::FileContainingSymbol(
                    "hod.v1.EstimationService".into(),
                )),
            ]);
            let mut answers = reflection
                .server_reflection_info(asked)
                .await
                .expect("a stream")
                .into_inner();
            let mut next = async || {
                answers
                    .message()
                    .await
                    .expect("an answer")
                    .expect("an answer")
                    .message_response
            };
            let Some(MessageResponse::ListServicesResponse(list)) = next().await else {
                panic!("no list")
            };
            let names: Vec<String> = list
                .service
                .into_iter()
                .map(|service| service.name)
                .collect();
            assert_eq!(
                names
                    .iter()
                    .filter(|name| name.starts_with("hod.v1."))
                    .count(),
                14,
                "{names:?}"
            );
            assert!(names.contains(&"grpc.health.v1.Health".to_owned()));
            let Some(MessageResponse::FileDescriptorResponse(files)) = next().await else {
                panic!("no file")
            };
            let file = FileDescriptorProto::decode(files.file_descriptor_proto[0].as_slice())
                .expect("a file");
            assert_eq!(file.package(), "hod.v1");
        }
    };
}

reflects!(reflection_v1_tells_the_services_and_their_files, v1);
reflects!(reflection_v1alpha_tells_the_same, v1alpha);

#[tokio::test]
async fn messages_may_be_packed_both_ways() {
    let ground = Ground::with_library().await;
    let measure = || MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Job(studio())),
    };
    let plain = ground
        .client
        .estimation()
        .measure_job(measure())
        .await
        .expect("measured");
    assert!(plain.metadata().get("grpc-encoding").is_none());
    let mut packed = ground
        .client
        .estimation()
        .send_compressed(CompressionEncoding::Gzip)
        .accept_compressed(CompressionEncoding::Gzip);
    let answer = packed.measure_job(measure()).await.expect("measured");
    assert_eq!(
        answer.metadata().get("grpc-encoding").expect("packed"),
        "gzip"
    );
    assert_eq!(answer.into_inner(), plain.into_inner());
}

#[tokio::test]
async fn every_answer_has_the_id_of_its_request_and_the_log_has_it_too() {
    let ground = Ground::with_library().await;
    let mut regions = ground.client.regions();
    let mut request = Request::new(ListRegionsRequest::default());
    request
        .metadata_mut()
        .insert("x-request-id", "job-17".parse().expect("a header"));
    let answer = regions.list_regions(request).await.expect("listed");
    assert_eq!(
        answer.metadata().get("x-request-id").expect("an id"),
        "job-17"
    );
    let mut request = Request::new(ListRegionsRequest {
        page_size: -1,
        ..Default::default()
    });
    request
        .metadata_mut()
        .insert("x-request-id", "job-18".parse().expect("a header"));
    let refused = regions.list_regions(request).await.expect_err("refused");
    assert_eq!(
        refused.metadata().get("x-request-id").expect("an id"),
        "job-18"
    );
    let made = regions
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("listed");
    let made = made
        .metadata()
        .get("x-request-id")
        .expect("an id")
        .to_str()
        .expect("text")
        .to_owned();
    assert_eq!(made.len(), 36);

    let log = ground.server.log();
    for (id, code) in [
        ("job-17", "Ok"),
        ("job-18", "InvalidArgument"),
        (made.as_str(), "Ok"),
    ] {
        let line = log
            .lines()
            .find(|line| line.contains(id))
            .unwrap_or_else(|| panic!("{id} in {log}"));
        assert!(line.starts_with('{') && line.ends_with('}'), "{line}");
        for part in [
            format!("\"code\":\"{code}\""),
            "\"duration_us\":".into(),
            "RegionService/ListRegions".into(),
        ] {
            assert!(line.contains(&part), "{part} in {line}");
        }
    }
}

#[tokio::test]
async fn the_log_never_tells_a_token_or_what_a_client_calls_things() {
    let ground = Ground::with_library().await;
    let client = &ground.client;
    crate::support::price(client).await;
    let mut named = region("coast");
    named.region.as_mut().expect("a region").display_name = "Secret Valley".into();
    client
        .regions()
        .create_region(named.clone())
        .await
        .expect("made");
    client
        .regions()
        .create_region(named)
        .await
        .expect_err("taken");
    let mut job = studio();
    job.display_name = "Widow Tanner's Folly".into();
    job.walls[0].height_m = "Widow Tanner".into();
    let request = MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Job(job)),
    };
    client
        .estimation()
        .measure_job(request)
        .await
        .expect_err("no number");
    let bad = Client::connect(&ground.server.url(), &format!("hod_{}", "c".repeat(43))).await;
    bad.regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect_err("no such token");

    let log = ground.server.log();
    assert!(log.contains("RegionService/CreateRegion") && log.contains("Unauthenticated"));
    let url = ground.database.app_url();
    let password = url
        .split(':')
        .nth(2)
        .and_then(|rest| rest.split('@').next())
        .expect("a password");
    for secret in [
        ground.firm.token.as_str(),
        "cccccccccc",
        "Secret Valley",
        "Widow",
        "Long Acre",
        password,
    ] {
        assert!(!log.contains(secret), "{secret} in {log}");
    }
}

#[tokio::test]
async fn when_the_database_goes_the_caller_is_told_to_come_back_and_nothing_else() {
    let ground = Ground::with_library().await;
    let owner = ground.database.owner_url();
    // A server whose database is taken from under it: nobody may come in, and who is in is sent away.
    let name = owner
        .rsplit('/')
        .next()
        .and_then(|rest| rest.split('?').next())
        .expect("a name")
        .to_owned();
    let app = ground.database.app_pool().await;
    let pool = ground.database.owner_pool().await;
    sqlx::query(sqlx::AssertSqlSafe(format!(
        "revoke connect on database {name} from hod_app"
    )))
    .execute(&pool)
    .await
    .expect("shut");
    sqlx::query("select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database() and usename = current_user and pid <> pg_backend_pid()")
        .execute(&app)
        .await
        .expect("sent away");
    let refused = ground
        .client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await;
    let refused = refused.expect_err("no database");
    assert!(
        matches!(refused.code(), Code::Unavailable | Code::Internal),
        "{refused:?}"
    );
    for inside in ["hod_app", "permission", &name] {
        assert!(!format!("{refused:?}").contains(inside), "{refused:?}");
    }
    sqlx::query(sqlx::AssertSqlSafe(format!(
        "grant connect on database {name} to hod_app"
    )))
    .execute(&pool)
    .await
    .expect("open");
    ground
        .client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("by itself");
    app.close().await;
    pool.close().await;
}
