//! Pages: all of a list in order, none twice, whatever the size; a token leads on in its own list and in no other.

use hod_wire::v1::{CreateJobRequest, ListJobsRequest, ListRegionsRequest, ListSitesRequest};

use crate::support::{Ground, assert_fields, long_job, region, site};

#[tokio::test]
async fn pages_of_any_size_bring_all_in_order_and_none_twice() {
    let ground = Ground::with_library().await;
    let mut regions = ground.client.regions();
    let ids: Vec<String> = (0..7).map(|number| format!("r-{number}")).collect();
    for id in ids.iter().rev() {
        regions.create_region(region(id)).await.expect("made");
    }
    for size in [1, 2, 3, 6, 7, 8] {
        let mut found = Vec::new();
        let mut token = String::new();
        loop {
            let ask = ListRegionsRequest {
                page_size: size,
                page_token: token,
            };
            let page = regions
                .list_regions(ask)
                .await
                .expect("a page")
                .into_inner();
            assert!(page.regions.len() <= size as usize);
            found.extend(page.regions.into_iter().map(|region| region.name));
            token = page.next_page_token;
            if token.is_empty() {
                break;
            }
        }
        let expected: Vec<String> = ids.iter().map(|id| format!("regions/{id}")).collect();
        assert_eq!(found, expected, "{size} at a time");
    }
}

#[tokio::test]
async fn a_token_is_good_in_its_own_list_and_in_no_other() {
    let ground = Ground::with_library().await;
    let client = &ground.client;
    for id in ["a", "b", "c"] {
        client
            .regions()
            .create_region(region(id))
            .await
            .expect("made");
        client
            .sites()
            .create_site(site(id, "regions/a"))
            .await
            .expect("made");
    }
    let ask = ListRegionsRequest {
        page_size: 1,
        page_token: String::new(),
    };
    let token = client
        .regions()
        .list_regions(ask)
        .await
        .expect("a page")
        .into_inner()
        .next_page_token;
    let other_size = ListRegionsRequest {
        page_size: 2,
        page_token: token.clone(),
    };
    let rest = client
        .regions()
        .list_regions(other_size)
        .await
        .expect("a page")
        .into_inner();
    assert_eq!(rest.regions.len(), 2);

    let sites = ListSitesRequest {
        page_size: 1,
        page_token: token.clone(),
    };
    let refused = client
        .sites()
        .list_sites(sites)
        .await
        .expect_err("another list");
    assert_fields(&refused, &[("page_token", "NOT_OF_THIS_LIST")]);
    let mut torn = token.clone();
    torn.pop();
    for bad in [
        torn,
        format!("{token}AA"),
        "AAAA".into(),
        "not a token".into(),
    ] {
        let ask = ListRegionsRequest {
            page_size: 1,
            page_token: bad.clone(),
        };
        let answer = client.regions().list_regions(ask).await;
        // What still begins with the seal of this list may lead to another place in it, and nowhere else.
        if let Err(refused) = answer {
            assert_fields(&refused, &[("page_token", "NOT_OF_THIS_LIST")]);
        } else {
            assert!(
                bad.len() + 2 < token.len() * 2 && bad.starts_with(&token[..10]),
                "{bad}"
            );
        }
    }
}

#[tokio::test]
async fn a_token_goes_with_the_filters_it_was_given_under() {
    let ground = Ground::priced().await;
    let mut jobs = ground.client.jobs();
    for id in ["a", "b"] {
        let request = CreateJobRequest {
            job_id: id.into(),
            job: Some(long_job(1, 0)),
            ..Default::default()
        };
        jobs.create_job(request).await.expect("made");
    }
    let ask = ListJobsRequest {
        page_size: 1,
        site: "sites/long-acre".into(),
        ..Default::default()
    };
    let token = jobs
        .list_jobs(ask.clone())
        .await
        .expect("a page")
        .into_inner()
        .next_page_token;
    let other = ListJobsRequest {
        page_token: token.clone(),
        site: String::new(),
        ..ask.clone()
    };
    let refused = jobs.list_jobs(other).await.expect_err("other filters");
    assert_fields(&refused, &[("page_token", "NOT_OF_THIS_LIST")]);
    let same = ListJobsRequest {
        page_token: token,
        ..ask
    };
    let last = jobs.list_jobs(same).await.expect("a page").into_inner();
    assert_eq!(
        (last.jobs[0].name.as_str(), last.next_page_token.as_str()),
        ("jobs/b", "")
    );
}

#[tokio::test]
async fn a_page_of_large_things_is_cut_short_so_that_it_fits_in_a_message() {
    let ground = Ground::priced().await;
    let mut jobs = ground.client.jobs();
    // 2,000 walls with 4 windows each take about 0.4 MB, and ten of them more than a page may.
    let large = long_job(2000, 4);
    for number in 0..10 {
        let request = CreateJobRequest {
            job_id: format!("j-{number}"),
            job: Some(large.clone()),
            ..Default::default()
        };
        jobs.create_job(request).await.expect("made");
    }
    let mut found = Vec::new();
    let mut ask = ListJobsRequest {
        page_size: 1000,
        ..Default::default()
    };
    let mut pages = 0;
    loop {
        let page = jobs
            .list_jobs(ask.clone())
            .await
            .expect("a page")
            .into_inner();
        pages += 1;
        found.extend(page.jobs.into_iter().map(|job| job.name));
        if page.next_page_token.is_empty() {
            break;
        }
        ask.page_token = page.next_page_token;
    }
    assert!(1 < pages, "{pages}");
    assert_eq!(
        found,
        (0..10)
            .map(|number| format!("jobs/j-{number}"))
            .collect::<Vec<_>>()
    );
}
