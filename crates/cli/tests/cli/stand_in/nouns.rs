//! Regions, prices and jobs of the stand-in: what it has of them, and what it refuses.

use hod_wire::v1 as wire;
use hod_wire::v1::import_prices_request::Part;
use hod_wire::v1::job_service_server::JobService;
use hod_wire::v1::price_changes_response::Event;
use hod_wire::v1::price_service_server::PriceService;
use hod_wire::v1::region_service_server::RegionService;
use tonic::{Code, Request, Response};

use super::{Answer, Events, Services, faults, figures, refused};

fn changed(events: Vec<Event>) -> Response<Events<wire::PriceChangesResponse>> {
    let answers = events
        .into_iter()
        .map(|event| Ok(wire::PriceChangesResponse { event: Some(event) }));
    Response::new(Box::pin(futures::stream::iter(answers)))
}

#[tonic::async_trait]
impl RegionService for Services {
    async fn get_region(&self, request: Request<wire::GetRegionRequest>) -> Answer<wire::Region> {
        let wire::GetRegionRequest { name } = request.into_inner();
        match figures::regions()
            .into_iter()
            .find(|region| region.name == name)
        {
            Some(region) => Ok(Response::new(region)),
            None => {
                let told = format!("there is no region {name}");
                Err(refused(
                    Code::NotFound,
                    "NOT_FOUND",
                    &told,
                    &[("name", &told)],
                ))
            }
        }
    }

    /// Two to a page, whatever is asked for.
    async fn list_regions(
        &self,
        request: Request<wire::ListRegionsRequest>,
    ) -> Answer<wire::ListRegionsResponse> {
        let start: usize = request.into_inner().page_token.parse().unwrap_or(0);
        let all = figures::regions();
        let end = (start + 2).min(all.len());
        Ok(Response::new(wire::ListRegionsResponse {
            regions: all[start..end].to_vec(),
            next_page_token: if end < all.len() {
                end.to_string()
            } else {
                String::new()
            },
        }))
    }

    async fn create_region(
        &self,
        request: Request<wire::CreateRegionRequest>,
    ) -> Answer<wire::Region> {
        let mut request = request.into_inner();
        assert_eq!(request.request_id.len(), 36);
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let region = request.region.unwrap();
        if region.currency_code != "EUR" {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "the request has 2 faults to be mended",
                &[
                    (
                        "region.currency_code",
                        "\"XYZ\" is not a currency known here; write its ISO 4217 code, such as EUR",
                    ),
                    (
                        "region.build_up.tax_percent",
                        "tax_percent is 190; it must be from 0 to 100",
                    ),
                ],
            ));
        }
        Ok(Response::new(wire::Region {
            name: format!("regions/{}", request.region_id),
            ..region
        }))
    }

    async fn update_region(
        &self,
        request: Request<wire::UpdateRegionRequest>,
    ) -> Answer<wire::Region> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let region = request.region.unwrap();
        if region.etag == "stale" {
            return Err(refused(
                Code::Aborted,
                "ETAG_MISMATCH",
                "regions/west has changed since it was read; read it again and repeat the change",
                &[],
            ));
        }
        Ok(Response::new(region))
    }
}

#[tonic::async_trait]
impl PriceService for Services {
    type ImportPricesStream = Events<wire::PriceChangesResponse>;
    type AdjustPricesStream = Events<wire::PriceChangesResponse>;
    type ExportPricesStream = Events<wire::ExportPricesResponse>;

    async fn close_price(&self, request: Request<wire::ClosePriceRequest>) -> Answer<wire::Price> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let price = figures::prices().remove(0);
        Ok(Response::new(wire::Price {
            end_date: request.end_date,
            ..price
        }))
    }

    /// Reads all of the file before it answers; one that says `27,50` has faults.
    async fn import_prices(
        &self,
        request: Request<tonic::Streaming<wire::ImportPricesRequest>>,
    ) -> Answer<Self::ImportPricesStream> {
        let mut pieces = request.into_inner();
        let Some(Part::Start(mut start)) = pieces.message().await?.and_then(|first| first.part)
        else {
            panic!("how comes first");
        };
        start.request_id = "UUID".to_owned();
        let mut file = Vec::new();
        while let Some(piece) = pieces.message().await? {
            let Some(Part::Chunk(chunk)) = piece.part else {
                panic!("the file comes after how");
            };
            assert!(chunk.len() <= 1024 * 1024);
            file.extend(chunk);
        }
        self.keep(&(&start, file.len()));
        let has_faults = String::from_utf8_lossy(&file).contains("27,50");
        Ok(changed(if has_faults {
            figures::file_faults()
        } else {
            figures::changes(!start.validate_only, 1)
        }))
    }

    async fn adjust_prices(
        &self,
        request: Request<wire::AdjustPricesRequest>,
    ) -> Answer<Self::AdjustPricesStream> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        Ok(changed(figures::changes(!request.validate_only, 0)))
    }

    /// In pieces that end within a character.
    async fn export_prices(
        &self,
        request: Request<wire::ExportPricesRequest>,
    ) -> Answer<Self::ExportPricesStream> {
        self.keep(request.get_ref());
        let file = "region,material\nwest,ch\u{ea}nevotte\n".as_bytes();
        let pieces: Vec<_> = file
            .chunks(24)
            .map(|chunk| {
                Ok(wire::ExportPricesResponse {
                    chunk: chunk.to_vec(),
                })
            })
            .collect();
        Ok(Response::new(Box::pin(futures::stream::iter(pieces))))
    }
    async fn get_price(&self, request: Request<wire::GetPriceRequest>) -> Answer<wire::Price> {
        let price = figures::prices().remove(0);
        assert_eq!(request.into_inner().name, price.name);
        Ok(Response::new(price))
    }

    async fn list_prices(
        &self,
        request: Request<wire::ListPricesRequest>,
    ) -> Answer<wire::ListPricesResponse> {
        self.keep(request.get_ref());
        Ok(Response::new(wire::ListPricesResponse {
            prices: figures::prices(),
            next_page_token: String::new(),
        }))
    }

    async fn create_price(
        &self,
        request: Request<wire::CreatePriceRequest>,
    ) -> Answer<wire::Price> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let price = request.price.unwrap();
        // A later price is there already.
        let end_date = match price.start_date.as_str() {
            "2025-05-01" => "2025-12-31",
            _ => "",
        };
        Ok(Response::new(wire::Price {
            name: format!("{}/prices/p9", request.parent),
            end_date: end_date.to_owned(),
            ..price
        }))
    }
}

#[tonic::async_trait]
impl JobService for Services {
    async fn get_job(&self, request: Request<wire::GetJobRequest>) -> Answer<wire::Job> {
        let wire::GetJobRequest { name } = request.into_inner();
        if name == "jobs/kept" {
            return Ok(Response::new(figures::job()));
        }
        let told = format!("there is no job {name}");
        Err(refused(
            Code::NotFound,
            "NOT_FOUND",
            &told,
            &[("name", &told)],
        ))
    }

    async fn list_jobs(&self, _: Request<wire::ListJobsRequest>) -> Answer<wire::ListJobsResponse> {
        Ok(Response::new(wire::ListJobsResponse::default()))
    }

    async fn create_job(&self, request: Request<wire::CreateJobRequest>) -> Answer<wire::Job> {
        let wire::CreateJobRequest { job_id, job, .. } = request.into_inner();
        let job = job.unwrap();
        faults(&job)?;
        Ok(Response::new(wire::Job {
            name: format!("jobs/{job_id}"),
            ..job
        }))
    }

    async fn update_job(&self, request: Request<wire::UpdateJobRequest>) -> Answer<wire::Job> {
        let wire::UpdateJobRequest {
            job, update_mask, ..
        } = request.into_inner();
        assert_eq!(update_mask.unwrap().paths, ["*"]);
        Ok(Response::new(job.unwrap()))
    }

    async fn delete_job(&self, request: Request<wire::DeleteJobRequest>) -> Answer<()> {
        assert_eq!(request.into_inner().name, "jobs/old");
        Ok(Response::new(()))
    }
}
