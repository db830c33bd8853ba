"""Who gets what at every address: one line for each address, row and method, one column for each person.

Read beside tests/access/world.py. 200 201 202 204 303 are done; 400 is a row named in the body or the query that this
person cannot see; 403 seen, but not theirs to do; 404 hidden; 409 allowed, but not now. A method without a line is
answered with 405. `read` and `write` are tokens of ann's; tokens that are over answer like nobody, and no token opens
a page. A new address without lines here fails the tests.
"""

API = """
                                         ann  ben  dan  sue  kim  fay  rex  cat  staff  read  write  nobod
api-schema                        GET    200  200  200  200  200  200  200  200  200  200  200  200
api-me                            GET    200  200  200  200  200  200  200  200  404  200  200  401
api-me                            PATCH  200  200  200  200  200  200  200  200  404  403  200  401
api-tokens                        GET    200  200  200  200  200  200  200  200  200  403  403  401
api-tokens                        POST   201  201  201  201  201  201  201  201  201  403  403  401
api-token                         GET    200  404  404  404  404  404  404  404  404  403  403  401
api-token                         DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-token withdrawn               GET    404  404  404  404  404  404  404  404  404  403  403  401
api-token withdrawn               DELETE 404  404  404  404  404  404  404  404  404  403  403  401
api-sign-ins                      GET    200  200  200  200  200  200  200  200  200  403  403  401
api-sign-in                       DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-export                        POST   200  200  200  200  200  200  200  200  404  403  403  401
api-erasure                       POST   202  202  202  202  202  202  202  202  404  403  403  401
api-erasure                       DELETE 204  204  204  204  204  204  204  204  404  403  403  401
api-groups                        GET    200  200  200  200  200  200  200  200  404  200  200  401
api-groups                        POST   201  201  201  201  201  201  201  201  404  403  201  401
api-group                         GET    200  200  200  200  200  404  404  404  404  200  200  401
api-group                         PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-group-carry-over              GET    200  200  200  200  200  404  404  404  404  200  200  401
api-group-strip                   GET    200  200  200  200  200  404  404  404  404  200  200  401
api-members                       GET    200  200  200  200  200  404  404  404  404  200  200  401
api-members                       POST   403  201  403  201  403  404  404  404  404  403  403  401
api-invitations                   GET    403  200  403  403  403  404  404  404  404  403  403  401
api-invitations                   POST   403  201  403  403  403  404  404  404  404  403  403  401
api-group-cards                   GET    403  200  403  403  403  404  404  404  404  403  403  401
api-audit                         GET    200  200  200  200  200  404  404  404  404  200  200  401
api-member                        GET    200  200  200  200  200  404  404  404  404  200  200  401
api-member                        PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-member                        DELETE 403  204  403  403  403  404  404  404  404  403  403  401
api-member ann's own              GET    200  200  200  200  200  404  404  404  404  200  200  401
api-member ann's own              PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-member ann's own              DELETE 204  204  403  403  403  404  404  404  404  403  204  401
api-member dan's                  GET    200  200  200  200  200  404  404  404  404  200  200  401
api-member dan's                  PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-member dan's                  DELETE 403  204  204  403  403  404  404  404  404  403  403  401
api-member ended                  GET    404  404  404  404  404  404  404  404  404  404  404  401
api-member ended                  PATCH  404  404  404  404  404  404  404  404  404  403  404  401
api-member ended                  DELETE 404  404  404  404  404  404  404  404  404  403  404  401
api-invitation                    GET    404  200  404  404  404  404  404  404  404  404  404  401
api-invitation                    DELETE 404  204  404  404  404  404  404  404  404  403  404  401
api-invitation withdrawn          GET    404  200  404  404  404  404  404  404  404  404  404  401
api-invitation withdrawn          DELETE 404  204  404  404  404  404  404  404  404  403  404  401
api-join                          POST   201  201  201  201  201  201  201  201  404  403  201  401
api-player                        GET    200  200  200  200  200  404  404  404  404  200  200  401
api-player                        PATCH  403  403  403  403  403  404  404  404  404  403  403  401
api-player                        DELETE 403  403  403  403  403  404  404  404  404  403  403  401
api-player gus                    GET    200  200  200  200  200  404  404  404  404  200  200  401
api-player gus                    PATCH  403  200  403  403  200  404  404  404  404  403  403  401
api-player gus                    DELETE 403  204  403  403  403  404  404  404  404  403  403  401
api-player cat                    GET    404  404  404  404  404  404  404  200  404  404  404  401
api-player cat                    PATCH  404  404  404  404  404  404  404  403  404  403  404  401
api-player cat                    DELETE 404  404  404  404  404  404  404  403  404  403  404  401
api-player rex                    GET    404  404  404  404  404  404  200  404  404  404  404  401
api-player rex                    PATCH  404  404  404  404  404  404  403  404  404  403  404  401
api-player rex                    DELETE 404  404  404  404  404  404  403  404  404  403  404  401
api-courses                       GET    200  200  200  200  200  200  200  200  404  200  200  401
api-courses                       POST   201  201  201  201  201  201  201  201  404  403  201  401
api-courses of the group          GET    200  200  200  200  200  404  404  404  404  200  200  401
api-courses of the group          POST   400  400  400  400  400  400  400  400  400  403  400  401
api-course-import                 POST   201  201  201  201  201  201  201  201  404  403  201  401
api-course-import of the group    POST   403  201  403  403  403  404  404  404  404  403  403  401
api-read-holes                    POST   200  200  200  200  200  200  200  200  200  403  200  401
api-course                        GET    200  200  200  200  200  404  404  404  404  200  200  401
api-course                        PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-course                        DELETE 403  409  403  403  403  404  404  404  404  403  403  401
api-course unplayed               GET    200  200  200  200  200  404  404  404  404  200  200  401
api-course unplayed               PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-course unplayed               DELETE 403  204  403  403  403  404  404  404  404  403  403  401
api-course ann's own              GET    200  404  404  404  404  404  404  404  404  200  200  401
api-course ann's own              PATCH  200  404  404  404  404  404  404  404  404  403  200  401
api-course ann's own              DELETE 409  404  404  404  404  404  404  404  404  403  409  401
api-course cat's                  GET    404  404  404  404  404  404  404  200  404  404  404  401
api-course cat's                  PATCH  404  404  404  404  404  404  404  200  404  403  404  401
api-course cat's                  DELETE 404  404  404  404  404  404  404  409  404  403  404  401
api-holes                         GET    200  200  200  200  200  404  404  404  404  200  200  401
api-holes-table                   POST   403  200  403  403  403  404  404  404  404  403  403  401
api-hole                          GET    200  200  200  200  200  404  404  404  404  200  200  401
api-hole                          PUT    403  200  403  403  403  404  404  404  404  403  403  401
api-hole-versions                 GET    200  200  200  200  200  404  404  404  404  200  200  401
api-hole-restore                  POST   403  200  403  403  403  404  404  404  404  403  403  401
api-holes unplayed                GET    200  200  200  200  200  404  404  404  404  200  200  401
api-holes-table unplayed          POST   403  200  403  403  403  404  404  404  404  403  403  401
api-hole unplayed                 GET    200  200  200  200  200  404  404  404  404  200  200  401
api-hole unplayed                 PUT    403  200  403  403  403  404  404  404  404  403  403  401
api-hole-versions unplayed        GET    200  200  200  200  200  404  404  404  404  200  200  401
api-hole-restore unplayed         POST   403  200  403  403  403  404  404  404  404  403  403  401
api-holes ann's own               GET    200  404  404  404  404  404  404  404  404  200  200  401
api-holes-table ann's own         POST   200  404  404  404  404  404  404  404  404  403  200  401
api-hole ann's own                GET    200  404  404  404  404  404  404  404  404  200  200  401
api-hole ann's own                PUT    200  404  404  404  404  404  404  404  404  403  200  401
api-hole-versions ann's own       GET    200  404  404  404  404  404  404  404  404  200  200  401
api-hole-restore ann's own        POST   200  404  404  404  404  404  404  404  404  403  200  401
api-holes cat's                   GET    404  404  404  404  404  404  404  200  404  404  404  401
api-holes-table cat's             POST   404  404  404  404  404  404  404  200  404  403  404  401
api-hole cat's                    GET    404  404  404  404  404  404  404  200  404  404  404  401
api-hole cat's                    PUT    404  404  404  404  404  404  404  200  404  403  404  401
api-hole-versions cat's           GET    404  404  404  404  404  404  404  200  404  404  404  401
api-hole-restore cat's            POST   404  404  404  404  404  404  404  200  404  403  404  401
api-course-tees                   POST   403  201  403  403  403  404  404  404  404  403  403  401
api-course-tees unplayed          POST   403  201  403  403  403  404  404  404  404  403  403  401
api-course-tees ann's own         POST   201  404  404  404  404  404  404  404  404  403  201  401
api-course-tees cat's             POST   404  404  404  404  404  404  404  201  404  403  404  401
api-course-file                   GET    200  200  200  200  200  404  404  404  404  200  200  401
api-course-file unplayed          GET    200  200  200  200  200  404  404  404  404  200  200  401
api-course-file ann's own         GET    200  404  404  404  404  404  404  404  404  200  200  401
api-course-file cat's             GET    404  404  404  404  404  404  404  200  404  404  404  401
api-tee                           GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee                           PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-tee                           DELETE 403  409  403  403  403  404  404  404  404  403  403  401
api-tee unused                    GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee unused                    PATCH  403  200  403  403  403  404  404  404  404  403  403  401
api-tee unused                    DELETE 403  204  403  403  403  404  404  404  404  403  403  401
api-tee ann's own                 GET    200  404  404  404  404  404  404  404  404  200  200  401
api-tee ann's own                 PATCH  200  404  404  404  404  404  404  404  404  403  200  401
api-tee ann's own                 DELETE 409  404  404  404  404  404  404  404  404  403  409  401
api-tee cat's                     GET    404  404  404  404  404  404  404  200  404  404  404  401
api-tee cat's                     PATCH  404  404  404  404  404  404  404  200  404  403  404  401
api-tee cat's                     DELETE 404  404  404  404  404  404  404  409  404  403  404  401
api-tee-versions                  POST   403  409  403  403  403  404  404  404  404  403  403  401
api-tee-versions unused           POST   403  201  403  403  403  404  404  404  404  403  403  401
api-tee-versions ann's own        POST   201  404  404  404  404  404  404  404  404  403  201  401
api-tee-versions cat's            POST   404  404  404  404  404  404  404  201  404  403  404  401
api-tee-course-handicap           GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee-course-handicap unused    GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee-course-handicap ann's own GET    200  404  404  404  404  404  404  404  404  200  200  401
api-tee-course-handicap cat's     GET    404  404  404  404  404  404  404  200  404  404  404  401
api-cards                         GET    200  200  200  200  200  200  200  200  404  200  200  401
api-cards                         POST   201  201  201  201  201  400  400  400  404  403  201  401
api-card-kit                      GET    200  200  200  200  200  200  200  200  404  200  200  401
api-card                          GET    200  404  200  404  404  404  404  404  404  200  200  401
api-card                          PATCH  200  404  403  404  404  404  404  404  404  403  200  401
api-card                          DELETE 409  404  403  404  404  404  404  404  404  403  409  401
api-card sent                     GET    200  404  200  404  404  404  404  404  404  200  200  401
api-card sent                     PATCH  409  404  403  404  404  404  404  404  404  403  409  401
api-card sent                     DELETE 409  404  403  404  404  404  404  404  404  403  409  401
api-card-marks                    POST   200  404  200  404  404  404  404  404  404  403  200  401
api-card-marks sent               POST   400  404  400  404  404  404  404  404  404  403  400  401
api-card-settlements              POST   200  404  200  404  404  404  404  404  404  403  200  401
api-card-settlements sent         POST   400  404  400  404  404  404  404  404  404  403  400  401
api-card-send                     POST   409  404  200  404  404  404  404  404  404  403  409  401
api-card-send sent                POST   200  404  200  404  404  404  404  404  404  403  200  401
api-card-answer                   POST   403  404  409  404  404  404  404  404  404  403  403  401
api-card-answer sent              POST   403  404  200  404  404  404  404  404  404  403  403  401
api-plans                         GET    200  200  200  200  200  200  200  200  404  200  200  401
api-plans                         POST   201  201  201  201  201  400  400  400  404  403  201  401
api-plans-kept                    GET    200  200  200  200  200  200  200  200  404  200  200  401
api-plan                          GET    200  404  404  404  404  404  404  404  404  200  200  401
api-plan                          DELETE 204  404  404  404  404  404  404  404  404  403  204  401
api-plan-anew                     POST   200  404  404  404  404  404  404  404  404  403  200  401
api-plan-kept                     PUT    200  404  404  404  404  404  404  404  404  403  200  401
api-plan-hole                     PATCH  200  404  404  404  404  404  404  404  404  403  200  401
api-rounds                        GET    200  200  200  200  200  200  200  200  404  200  200  401
api-rounds                        POST   201  201  201  201  201  400  400  400  404  403  201  401
api-rounds of ann                 GET    200  200  200  200  200  200  200  200  404  200  200  401
api-rounds of ann                 POST   400  400  400  400  400  400  400  400  400  403  400  401
api-round                         GET    200  200  200  200  200  404  404  404  404  200  200  401
api-round                         PATCH  200  403  403  403  403  404  404  404  404  403  200  401
api-round                         DELETE 200  403  403  403  403  404  404  404  404  403  200  401
api-round gus                     GET    200  200  200  200  200  404  404  404  404  200  200  401
api-round gus                     PATCH  403  200  403  403  200  404  404  404  404  403  403  401
api-round gus                     DELETE 403  200  403  403  200  404  404  404  404  403  403  401
api-round cat                     GET    404  404  404  404  404  404  404  200  404  404  404  401
api-round cat                     PATCH  404  404  404  404  404  404  404  200  404  403  404  401
api-round cat                     DELETE 404  404  404  404  404  404  404  200  404  403  404  401
api-round rex                     GET    404  404  404  404  404  404  200  404  404  404  404  401
api-round rex                     PATCH  404  404  404  404  404  404  200  404  404  403  404  401
api-round rex                     DELETE 404  404  404  404  404  404  200  404  404  403  404  401
api-round-attestation             POST   403  201  201  201  201  404  404  404  404  403  403  401
api-round-attestation gus         POST   201  403  201  201  403  404  404  404  404  403  201  401
api-round-attestation cat         POST   404  404  404  404  404  404  404  403  404  403  404  401
api-round-attestation rex         POST   404  404  404  404  404  404  403  404  404  403  404  401
api-ledger                        GET    200  200  200  200  200  404  404  404  404  200  200  401
api-ledger gus                    GET    200  200  200  200  200  404  404  404  404  200  200  401
api-ledger cat                    GET    404  404  404  404  404  404  404  200  404  404  404  401
api-ledger rex                    GET    404  404  404  404  404  404  200  404  404  404  404  401
api-ledger-file                   GET    200  403  403  403  403  404  404  404  404  200  200  401
api-ledger-file gus               GET    403  200  403  403  200  404  404  404  404  403  403  401
api-ledger-file cat               GET    404  404  404  404  404  404  404  200  404  404  404  401
api-ledger-file rex               GET    404  404  404  404  404  404  200  404  404  404  404  401
api-revision                      GET    200  200  200  200  200  404  404  404  404  200  200  401
api-revision gus                  GET    200  200  200  200  200  404  404  404  404  200  200  401
api-revision cat                  GET    404  404  404  404  404  404  404  200  404  404  404  401
api-revision rex                  GET    404  404  404  404  404  404  200  404  404  404  404  401
api-next-time                     GET    200  403  403  403  403  404  404  404  404  200  200  401
api-next-time gus                 GET    403  200  403  403  200  404  404  404  404  403  403  401
api-next-time cat                 GET    404  404  404  404  404  404  404  404  404  404  404  401
api-next-time rex                 GET    404  404  404  404  404  404  404  404  404  404  404  401
api-imports                       GET    200  200  200  200  200  200  200  200  404  200  200  401
api-imports                       POST   201  201  201  201  201  400  400  400  404  403  201  401
api-imports of the group          GET    400  400  400  400  400  400  400  400  400  400  400  401
api-imports of the group          POST   403  201  403  403  403  404  404  404  404  403  403  401
api-imports of ann                GET    400  400  400  400  400  400  400  400  400  400  400  401
api-imports of ann                POST   201  403  403  403  403  404  404  404  404  403  201  401
api-imports of gus                GET    400  400  400  400  400  400  400  400  400  400  400  401
api-imports of gus                POST   403  201  403  403  201  404  404  404  404  403  403  401
api-imports-template              GET    200  200  200  200  200  200  200  200  200  200  200  401
api-import                        GET    200  404  404  404  404  404  404  404  404  200  200  401
api-import applied                GET    200  404  404  404  404  404  404  404  404  200  200  401
api-import undone                 GET    200  404  404  404  404  404  404  404  404  200  200  401
api-import declined               GET    200  404  404  404  404  404  404  404  404  200  200  401
api-import ben's                  GET    404  200  404  404  404  404  404  404  404  404  404  401
api-import waiting for dan        GET    404  200  200  404  404  404  404  404  404  404  404  401
api-import-apply                  POST   200  404  404  404  404  404  404  404  404  403  200  401
api-import-apply applied          POST   200  404  404  404  404  404  404  404  404  403  200  401
api-import-apply undone           POST   409  404  404  404  404  404  404  404  404  403  409  401
api-import-apply declined         POST   409  404  404  404  404  404  404  404  404  403  409  401
api-import-apply ben's            POST   404  200  404  404  404  404  404  404  404  403  404  401
api-import-apply waiting for dan  POST   404  409  200  404  404  404  404  404  404  403  404  401
api-import-undo                   POST   409  404  404  404  404  404  404  404  404  403  409  401
api-import-undo applied           POST   200  404  404  404  404  404  404  404  404  403  200  401
api-import-undo undone            POST   200  404  404  404  404  404  404  404  404  403  200  401
api-import-undo declined          POST   409  404  404  404  404  404  404  404  404  403  409  401
api-import-undo ben's             POST   404  409  404  404  404  404  404  404  404  403  404  401
api-import-undo waiting for dan   POST   404  409  409  404  404  404  404  404  404  403  404  401
api-import-decline                POST   200  404  404  404  404  404  404  404  404  403  200  401
api-import-decline applied        POST   409  404  404  404  404  404  404  404  404  403  409  401
api-import-decline undone         POST   409  404  404  404  404  404  404  404  404  403  409  401
api-import-decline declined       POST   200  404  404  404  404  404  404  404  404  403  200  401
api-import-decline ben's          POST   404  200  404  404  404  404  404  404  404  403  404  401
api-import-decline waiting for dan POST   404  200  200  404  404  404  404  404  404  403  404  401
api-rounds-file                   GET    200  403  403  403  403  404  404  404  404  200  200  401
api-rounds-file gus               GET    403  200  403  403  200  404  404  404  404  403  403  401
api-rounds-file cat               GET    404  404  404  404  404  404  404  200  404  404  404  401
api-rounds-file rex               GET    404  404  404  404  404  404  200  404  404  404  404  401
api-unknown                       GET    404  404  404  404  404  404  404  404  404  404  404  401
api-unknown                       POST   404  404  404  404  404  404  404  404  404  403  404  401
api-unknown                       PUT    404  404  404  404  404  404  404  404  404  403  404  401
api-unknown                       PATCH  404  404  404  404  404  404  404  404  404  403  404  401
api-unknown                       DELETE 404  404  404  404  404  404  404  404  404  403  404  401
api-barriers                      GET    200  200  200  200  200  200  200  200  404  200  200  401
api-barriers                      POST   201  201  201  201  201  201  201  201  404  403  201  401
api-barrier                       GET    200  404  404  404  404  404  404  404  404  200  200  401
api-barrier                       PATCH  200  404  404  404  404  404  404  404  404  403  200  401
api-barrier                       DELETE 204  404  404  404  404  404  404  404  404  403  204  401
api-barrier hidden                GET    200  404  404  404  404  404  404  404  404  200  200  401
api-barrier hidden                PATCH  200  404  404  404  404  404  404  404  404  403  200  401
api-barrier hidden                DELETE 204  404  404  404  404  404  404  404  404  403  204  401
api-carry-book                    GET    200  200  200  200  200  200  200  200  404  200  200  401
api-carry-book                    PUT    200  200  200  200  200  200  200  200  404  403  200  401
api-clubs                         POST   201  201  201  201  201  201  201  201  404  403  201  401
api-starter-set                   POST   409  200  200  200  200  200  200  200  404  403  409  401
api-carries-today                 GET    200  200  200  200  200  200  200  200  404  200  200  401
api-club                          GET    200  404  404  404  404  404  404  404  404  200  200  401
api-club                          PATCH  200  404  404  404  404  404  404  404  404  403  200  401
api-club                          DELETE 204  404  404  404  404  404  404  404  404  403  204  401
api-club-shots                    GET    200  404  404  404  404  404  404  404  404  200  200  401
api-club-shots                    POST   200  404  404  404  404  404  404  404  404  403  200  401
api-shot                          GET    200  404  404  404  404  404  404  404  404  200  200  401
api-shot                          DELETE 204  404  404  404  404  404  404  404  404  403  204  401
api-journal-routine               GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-routine               PATCH  200  200  200  200  200  200  200  200  404  403  403  401
api-journal-resets                GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-resets                POST   201  201  201  201  201  201  201  201  404  403  403  401
api-journal-reset                 GET    200  404  404  404  404  404  404  404  404  403  403  401
api-journal-reset                 DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-journal-reset-evidence        GET    200  200  200  200  200  200  200  200  404  403  403  401
api-shots-table                   POST   200  200  200  200  200  200  200  200  404  403  200  401
api-shot-lists                    GET    200  200  200  200  200  200  200  200  404  200  200  401
api-shot-list                     GET    200  404  404  404  404  404  404  404  404  200  200  401
api-shot-list                     DELETE 204  404  404  404  404  404  404  404  404  403  204  401
api-journal-range                 GET    200  200  200  200  200  404  404  404  404  403  403  401
api-journal-library               GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-intentions            GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-intentions            POST   201  201  201  201  201  201  201  201  404  403  403  401
api-journal-intention             GET    200  404  404  404  404  404  404  404  404  403  403  401
api-journal-intention             PATCH  200  404  404  404  404  404  404  404  404  403  403  401
api-journal-intention             DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-journal-look-backs            GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-look-backs            POST   201  400  400  400  400  400  400  400  404  403  403  401
api-journal-look-back             GET    200  404  404  404  404  404  404  404  404  403  403  401
api-journal-look-back             PATCH  200  404  404  404  404  404  404  404  404  403  403  401
api-journal-look-back             DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-journal-look-back draft       GET    200  404  404  404  404  404  404  404  404  403  403  401
api-journal-look-back draft       PATCH  200  404  404  404  404  404  404  404  404  403  403  401
api-journal-look-back draft       DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-journal-share                 GET    200  404  404  404  404  404  404  404  404  403  403  401
api-journal-share                 POST   200  404  404  404  404  404  404  404  404  403  403  401
api-journal-share                 DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-journal-share draft           GET    200  404  404  404  404  404  404  404  404  403  403  401
api-journal-share draft           POST   400  404  404  404  404  404  404  404  404  403  403  401
api-journal-share draft           DELETE 204  404  404  404  404  404  404  404  404  403  403  401
api-journal-search                POST   200  200  200  200  200  200  200  200  404  403  403  401
api-journal-shared                GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-shared-one            GET    404  404  200  404  404  404  404  404  404  403  403  401
api-journal-shared-one draft      GET    404  404  404  404  404  404  404  404  404  403  403  401
api-journal-export                GET    200  200  200  200  200  200  200  200  404  403  403  401
api-journal-erasure               POST   204  204  204  204  204  204  204  204  404  403  403  401
api-player-barriers               GET    200  200  200  200  200  404  404  404  404  200  200  401
api-player-barriers gus           GET    200  200  200  200  200  404  404  404  404  200  200  401
api-player-barriers cat           GET    404  404  404  404  404  404  404  200  404  404  404  401
api-player-barriers rex           GET    404  404  404  404  404  404  200  404  404  404  404  401
api-outlook                       GET    200  200  200  200  200  404  404  404  404  200  200  401
api-ladder                        GET    200  200  200  200  200  200  200  200  404  200  200  401
api-practice                      GET    200  200  200  200  200  200  200  200  404  200  200  401
api-progress                      GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee-budget                    GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee-budget unused             GET    200  200  200  200  200  404  404  404  404  200  200  401
api-tee-budget ann's own          GET    200  404  404  404  404  404  404  404  404  200  200  401
api-tee-budget cat's              GET    404  404  404  404  404  404  404  200  404  404  404  401
api-judgement                     GET    200  200  200  200  200  200  200  200  200  200  200  401
api-judgement of the group        GET    200  200  200  200  200  404  404  404  404  200  200  401
"""

PAGES = """
                                         ann  ben  dan  sue  kim  fay  rex  cat  staff  nobod
health                            GET    200  200  200  200  200  200  200  200  200  200
api                               GET    200  200  200  200  200  200  200  200  200  200
api_noun                          GET    200  200  200  200  200  200  200  200  200  200
problems                          GET    200  200  200  200  200  200  200  200  200  200
problem                           GET    200  200  200  200  200  200  200  200  200  200
sign_up                           GET    200  200  200  200  200  200  200  200  200  200
sign_up                           POST   303  303  303  303  303  303  303  303  303  303
sign_in                           GET    200  200  200  200  200  200  200  200  200  200
sign_in                           POST   303  303  303  303  303  303  303  303  303  303
sign_out                          POST   303  303  303  303  303  303  303  303  303  303
reset                             GET    200  200  200  200  200  200  200  200  200  200
reset                             POST   303  303  303  303  303  303  303  303  303  303
reset_sent                        GET    200  200  200  200  200  200  200  200  200  200
reset_password                    GET    404  404  404  404  404  404  404  404  404  404
reset_password                    POST   404  404  404  404  404  404  404  404  404  404
invitation_new                    GET    403  200  403  403  403  404  404  404  404  401
invitation_new                    POST   403  303  403  403  403  404  404  404  404  401
claim_link                        POST   403  303  403  403  403  404  404  404  404  401
claim_link ann's own              POST   403  409  403  403  403  404  404  404  404  401
claim_link dan's                  POST   403  409  403  403  403  404  404  404  404  401
claim_link ended                  POST   404  404  404  404  404  404  404  404  404  401
invitation                        GET    404  200  404  404  404  404  404  404  404  401
invitation withdrawn              GET    404  200  404  404  404  404  404  404  404  401
invitation_withdraw               POST   404  303  404  404  404  404  404  404  404  401
invitation_withdraw withdrawn     POST   404  303  404  404  404  404  404  404  404  401
join                              GET    200  200  200  200  200  200  200  200  404  200
join                              POST   303  303  303  303  303  303  303  303  404  303
join withdrawn                    GET    404  404  404  404  404  404  404  404  404  404
join withdrawn                    POST   303  303  303  303  303  404  404  404  404  404
join late                         GET    404  404  404  404  404  404  404  404  404  404
join late                         POST   303  303  303  303  303  404  404  404  404  404
join used                         GET    404  404  404  404  404  404  404  404  404  404
join used                         POST   303  303  303  303  303  404  404  404  404  404
group_new                         GET    200  200  200  200  200  200  200  200  404  401
group_new                         POST   303  303  303  303  303  303  303  303  404  401
group                             GET    200  200  200  200  200  404  404  404  404  401
desk                              GET    403  200  403  403  403  404  404  404  404  401
group_change                      GET    403  200  403  403  403  404  404  404  404  401
group_change                      POST   403  303  403  403  403  404  404  404  404  401
group_cards                       GET    403  200  403  403  403  404  404  404  404  401
group_record                      GET    200  200  200  200  200  404  404  404  404  401
person_new                        GET    403  200  403  200  403  404  404  404  404  401
person_new                        POST   403  303  403  303  403  404  404  404  404  401
group_leave                       GET    200  200  200  200  200  404  404  404  404  401
group_leave                       POST   303  409  303  303  303  404  404  404  404  401
member                            GET    403  200  403  403  403  404  404  404  404  401
member                            POST   403  303  403  403  403  404  404  404  404  401
member ann's own                  GET    403  200  403  403  403  404  404  404  404  401
member ann's own                  POST   403  303  403  403  403  404  404  404  404  401
member dan's                      GET    403  200  403  403  403  404  404  404  404  401
member dan's                      POST   403  303  403  403  403  404  404  404  404  401
member ended                      GET    404  404  404  404  404  404  404  404  404  401
member ended                      POST   404  404  404  404  404  404  404  404  404  401
member_profile                    GET    403  200  403  403  200  404  404  404  404  401
member_profile                    POST   403  303  403  403  303  404  404  404  404  401
member_profile ann's own          GET    403  403  403  403  403  404  404  404  404  401
member_profile ann's own          POST   403  403  403  403  403  404  404  404  404  401
member_profile dan's              GET    403  403  403  403  403  404  404  404  404  401
member_profile dan's              POST   403  403  403  403  403  404  404  404  404  401
member_profile ended              GET    404  404  404  404  404  404  404  404  404  401
member_profile ended              POST   404  404  404  404  404  404  404  404  404  401
member_remove                     GET    403  200  403  403  403  404  404  404  404  401
member_remove                     POST   403  303  403  403  403  404  404  404  404  401
member_remove ann's own           GET    403  200  403  403  403  404  404  404  404  401
member_remove ann's own           POST   403  303  403  403  403  404  404  404  404  401
member_remove dan's               GET    403  200  403  403  403  404  404  404  404  401
member_remove dan's               POST   403  303  403  403  403  404  404  404  404  401
member_remove ended               GET    404  404  404  404  404  404  404  404  404  401
member_remove ended               POST   404  404  404  404  404  404  404  404  404  401
member_erase                      GET    403  200  403  403  403  404  404  404  404  401
member_erase                      POST   403  303  403  403  403  404  404  404  404  401
member_erase ann's own            GET    403  403  403  403  403  404  404  404  404  401
member_erase ann's own            POST   403  403  403  403  403  404  404  404  404  401
member_erase dan's                GET    403  403  403  403  403  404  404  404  404  401
member_erase dan's                POST   403  403  403  403  403  404  404  404  404  401
member_erase ended                GET    404  404  404  404  404  404  404  404  404  401
member_erase ended                POST   404  404  404  404  404  404  404  404  404  401
courses                           GET    200  200  200  200  200  200  200  200  404  401
course_new                        GET    200  200  200  200  200  200  200  200  404  401
course_new                        POST   303  303  303  303  303  303  303  303  404  401
course_file                       GET    200  200  200  200  200  200  200  200  404  401
course_file                       POST   200  200  200  200  200  200  200  200  404  401
course                            GET    200  200  200  200  200  404  404  404  404  401
course unplayed                   GET    200  200  200  200  200  404  404  404  404  401
course ann's own                  GET    200  404  404  404  404  404  404  404  404  401
course cat's                      GET    404  404  404  404  404  404  404  200  404  401
course_change                     GET    403  200  403  403  403  404  404  404  404  401
course_change                     POST   403  303  403  403  403  404  404  404  404  401
course_change unplayed            GET    403  200  403  403  403  404  404  404  404  401
course_change unplayed            POST   403  303  403  403  403  404  404  404  404  401
course_change ann's own           GET    200  404  404  404  404  404  404  404  404  401
course_change ann's own           POST   303  404  404  404  404  404  404  404  404  401
course_change cat's               GET    404  404  404  404  404  404  404  200  404  401
course_change cat's               POST   404  404  404  404  404  404  404  303  404  401
course_delete                     GET    403  200  403  403  403  404  404  404  404  401
course_delete                     POST   403  409  403  403  403  404  404  404  404  401
course_delete unplayed            GET    403  200  403  403  403  404  404  404  404  401
course_delete unplayed            POST   403  303  403  403  403  404  404  404  404  401
course_delete ann's own           GET    200  404  404  404  404  404  404  404  404  401
course_delete ann's own           POST   409  404  404  404  404  404  404  404  404  401
course_delete cat's               GET    404  404  404  404  404  404  404  200  404  401
course_delete cat's               POST   404  404  404  404  404  404  404  409  404  401
course_export                     GET    200  200  200  200  200  404  404  404  404  401
course_export unplayed            GET    200  200  200  200  200  404  404  404  404  401
course_export ann's own           GET    200  404  404  404  404  404  404  404  404  401
course_export cat's               GET    404  404  404  404  404  404  404  200  404  401
hole                              GET    200  200  200  200  200  404  404  404  404  401
hole unplayed                     GET    200  200  200  200  200  404  404  404  404  401
hole ann's own                    GET    200  404  404  404  404  404  404  404  404  401
hole cat's                        GET    404  404  404  404  404  404  404  200  404  401
hole_change                       GET    403  200  403  403  403  404  404  404  404  401
hole_change                       POST   403  303  403  403  403  404  404  404  404  401
hole_change unplayed              GET    403  200  403  403  403  404  404  404  404  401
hole_change unplayed              POST   403  303  403  403  403  404  404  404  404  401
hole_change ann's own             GET    200  404  404  404  404  404  404  404  404  401
hole_change ann's own             POST   303  404  404  404  404  404  404  404  404  401
hole_change cat's                 GET    404  404  404  404  404  404  404  200  404  401
hole_change cat's                 POST   404  404  404  404  404  404  404  303  404  401
hole_restore                      POST   403  303  403  403  403  404  404  404  404  401
hole_restore unplayed             POST   403  303  403  403  403  404  404  404  404  401
hole_restore ann's own            POST   303  404  404  404  404  404  404  404  404  401
hole_restore cat's                POST   404  404  404  404  404  404  404  303  404  401
holes_table                       GET    403  200  403  403  403  404  404  404  404  401
holes_table                       POST   403  303  403  403  403  404  404  404  404  401
holes_table unplayed              GET    403  200  403  403  403  404  404  404  404  401
holes_table unplayed              POST   403  303  403  403  403  404  404  404  404  401
holes_table ann's own             GET    200  404  404  404  404  404  404  404  404  401
holes_table ann's own             POST   303  404  404  404  404  404  404  404  404  401
holes_table cat's                 GET    404  404  404  404  404  404  404  200  404  401
holes_table cat's                 POST   404  404  404  404  404  404  404  303  404  401
holes_file                        GET    200  200  200  200  200  404  404  404  404  401
holes_file unplayed               GET    200  200  200  200  200  404  404  404  404  401
holes_file ann's own              GET    200  404  404  404  404  404  404  404  404  401
holes_file cat's                  GET    404  404  404  404  404  404  404  200  404  401
tee_new                           GET    403  200  403  403  403  404  404  404  404  401
tee_new                           POST   403  303  403  403  403  404  404  404  404  401
tee_new unplayed                  GET    403  200  403  403  403  404  404  404  404  401
tee_new unplayed                  POST   403  303  403  403  403  404  404  404  404  401
tee_new ann's own                 GET    200  404  404  404  404  404  404  404  404  401
tee_new ann's own                 POST   303  404  404  404  404  404  404  404  404  401
tee_new cat's                     GET    404  404  404  404  404  404  404  200  404  401
tee_new cat's                     POST   404  404  404  404  404  404  404  303  404  401
tee_new as ann's own              GET    403  404  403  403  403  404  404  404  404  401
tee_new as ann's own              POST   403  404  403  403  403  404  404  404  404  401
tee                               GET    200  200  200  200  200  404  404  404  404  401
tee unused                        GET    200  200  200  200  200  404  404  404  404  401
tee ann's own                     GET    200  404  404  404  404  404  404  404  404  401
tee cat's                         GET    404  404  404  404  404  404  404  200  404  401
tee_change                        GET    403  200  403  403  403  404  404  404  404  401
tee_change                        POST   403  303  403  403  403  404  404  404  404  401
tee_change unused                 GET    403  200  403  403  403  404  404  404  404  401
tee_change unused                 POST   403  303  403  403  403  404  404  404  404  401
tee_change ann's own              GET    200  404  404  404  404  404  404  404  404  401
tee_change ann's own              POST   303  404  404  404  404  404  404  404  404  401
tee_change cat's                  GET    404  404  404  404  404  404  404  200  404  401
tee_change cat's                  POST   404  404  404  404  404  404  404  303  404  401
tee_rerate                        GET    403  200  403  403  403  404  404  404  404  401
tee_rerate                        POST   403  409  403  403  403  404  404  404  404  401
tee_rerate unused                 GET    403  200  403  403  403  404  404  404  404  401
tee_rerate unused                 POST   403  303  403  403  403  404  404  404  404  401
tee_rerate ann's own              GET    200  404  404  404  404  404  404  404  404  401
tee_rerate ann's own              POST   303  404  404  404  404  404  404  404  404  401
tee_rerate cat's                  GET    404  404  404  404  404  404  404  200  404  401
tee_rerate cat's                  POST   404  404  404  404  404  404  404  303  404  401
tee_delete                        GET    403  200  403  403  403  404  404  404  404  401
tee_delete                        POST   403  409  403  403  403  404  404  404  404  401
tee_delete unused                 GET    403  200  403  403  403  404  404  404  404  401
tee_delete unused                 POST   403  303  403  403  403  404  404  404  404  401
tee_delete ann's own              GET    200  404  404  404  404  404  404  404  404  401
tee_delete ann's own              POST   409  404  404  404  404  404  404  404  404  401
tee_delete cat's                  GET    404  404  404  404  404  404  404  200  404  401
tee_delete cat's                  POST   404  404  404  404  404  404  404  409  404  401
settings                          GET    200  200  200  200  200  200  200  200  404  401
settings                          POST   303  303  303  303  303  303  303  303  404  401
index_only                        POST   403  403  403  403  403  404  404  404  404  401
index_only ann's own              POST   303  403  403  403  403  404  404  404  404  401
index_only dan's                  POST   403  403  303  403  403  404  404  404  404  401
index_only ended                  POST   404  404  404  404  404  404  404  404  404  401
settings_password                 GET    200  200  200  200  200  200  200  200  200  401
settings_password                 POST   303  303  303  303  303  303  303  303  303  401
settings_email                    GET    200  200  200  200  200  200  200  200  200  401
settings_email                    POST   303  303  303  303  303  303  303  303  303  401
sign_in_end                       POST   303  404  404  404  404  404  404  404  404  401
token_new                         GET    200  200  200  200  200  200  200  200  200  401
token_new                         POST   303  303  303  303  303  303  303  303  303  401
token                             GET    200  404  404  404  404  404  404  404  404  401
token withdrawn                   GET    404  404  404  404  404  404  404  404  404  401
token_withdraw                    POST   303  404  404  404  404  404  404  404  404  401
token_withdraw withdrawn          POST   404  404  404  404  404  404  404  404  404  401
archive                           GET    200  200  200  200  200  200  200  200  200  401
archive                           POST   200  200  200  200  200  200  200  200  404  401
erase                             GET    200  200  200  200  200  200  200  200  404  401
erase                             POST   303  303  303  303  303  303  303  303  404  401
keep                              POST   303  303  303  303  303  303  303  303  404  401
rounds                            GET    200  200  200  200  200  200  200  200  404  401
rounds of ann                     GET    200  403  403  403  403  404  404  404  404  401
rounds of gus                     GET    403  200  403  403  200  404  404  404  404  401
rounds of cat                     GET    404  404  404  404  404  404  404  200  404  401
rounds_file                       GET    200  200  200  200  200  200  200  200  404  401
rounds_file of ann                GET    200  403  403  403  403  404  404  404  404  401
rounds_file of gus                GET    403  200  403  403  200  404  404  404  404  401
rounds_file of cat                GET    404  404  404  404  404  404  404  200  404  401
round_new                         GET    200  200  200  200  200  200  200  200  404  401
round_new                         POST   303  303  303  303  303  404  404  404  404  401
round_new of ann                  GET    200  403  403  403  403  404  404  404  404  401
round_new of ann                  POST   303  403  403  403  403  404  404  404  404  401
round_new of gus                  GET    403  200  403  403  200  404  404  404  404  401
round_new of gus                  POST   403  303  403  403  303  404  404  404  404  401
round_new on her tee              GET    200  404  404  404  404  404  404  404  404  401
round_new on her tee              POST   303  404  404  404  404  404  404  404  404  401
round                             GET    200  200  200  200  200  404  404  404  404  401
round gus                         GET    200  200  200  200  200  404  404  404  404  401
round cat                         GET    404  404  404  404  404  404  404  200  404  401
round rex                         GET    404  404  404  404  404  404  200  404  404  401
round_correct                     GET    200  403  403  403  403  404  404  404  404  401
round_correct                     POST   303  403  403  403  403  404  404  404  404  401
round_correct gus                 GET    403  200  403  403  200  404  404  404  404  401
round_correct gus                 POST   403  303  403  403  303  404  404  404  404  401
round_correct cat                 GET    404  404  404  404  404  404  404  200  404  401
round_correct cat                 POST   404  404  404  404  404  404  404  303  404  401
round_correct rex                 GET    404  404  404  404  404  404  200  404  404  401
round_correct rex                 POST   404  404  404  404  404  404  303  404  404  401
round_withdraw                    GET    200  403  403  403  403  404  404  404  404  401
round_withdraw                    POST   303  403  403  403  403  404  404  404  404  401
round_withdraw gus                GET    403  200  403  403  200  404  404  404  404  401
round_withdraw gus                POST   403  303  403  403  303  404  404  404  404  401
round_withdraw cat                GET    404  404  404  404  404  404  404  200  404  401
round_withdraw cat                POST   404  404  404  404  404  404  404  303  404  401
round_withdraw rex                GET    404  404  404  404  404  404  200  404  404  401
round_withdraw rex                POST   404  404  404  404  404  404  303  404  404  401
round_attest                      GET    403  200  200  200  200  404  404  404  404  401
round_attest                      POST   403  303  303  303  303  404  404  404  404  401
round_attest gus                  GET    200  403  200  200  403  404  404  404  404  401
round_attest gus                  POST   303  403  303  303  403  404  404  404  404  401
round_attest cat                  GET    404  404  404  404  404  404  404  403  404  401
round_attest cat                  POST   404  404  404  404  404  404  404  403  404  401
round_attest rex                  GET    404  404  404  404  404  404  403  404  404  401
round_attest rex                  POST   404  404  404  404  404  404  403  404  404  401
cards                             GET    200  200  200  200  200  200  200  200  404  401
card_open                         GET    200  200  200  200  200  200  200  200  404  401
card_open                         POST   303  303  303  303  303  404  404  404  404  401
card_page                         GET    200  404  200  404  404  404  404  404  404  401
card_page                         POST   303  404  303  404  404  404  404  404  404  401
card_page sent                    GET    200  404  200  404  404  404  404  404  404  401
card_page sent                    POST   303  404  303  404  404  404  404  404  404  401
card_settle                       POST   303  404  303  404  404  404  404  404  404  401
card_settle sent                  POST   409  404  409  404  404  404  404  404  404  401
card_send                         GET    200  404  200  404  404  404  404  404  404  401
card_send                         POST   409  404  303  404  404  404  404  404  404  401
card_send sent                    GET    200  404  200  404  404  404  404  404  404  401
card_send sent                    POST   303  404  303  404  404  404  404  404  404  401
card_answer                       GET    303  404  303  404  404  404  404  404  404  401
card_answer                       POST   303  404  303  404  404  404  404  404  404  401
card_answer sent                  GET    404  404  200  404  404  404  404  404  404  401
card_answer sent                  POST   404  404  303  404  404  404  404  404  404  401
card_take_back                    POST   303  404  404  404  404  404  404  404  404  401
card_take_back sent               POST   404  404  404  404  404  404  404  404  404  401
card_change                       GET    200  404  403  404  404  404  404  404  404  401
card_change                       POST   303  404  403  404  404  404  404  404  404  401
card_change sent                  GET    409  404  403  404  404  404  404  404  404  401
card_change sent                  POST   409  404  403  404  404  404  404  404  404  401
card_drop                         GET    200  404  403  404  404  404  404  404  404  401
card_drop                         POST   409  404  403  404  404  404  404  404  404  401
card_drop sent                    GET    409  404  403  404  404  404  404  404  404  401
card_drop sent                    POST   409  404  403  404  404  404  404  404  404  401
home                              GET    200  200  200  200  200  200  200  200  404  303
ledger                            GET    200  200  200  200  200  404  404  404  404  401
ledger gus                        GET    200  200  200  200  200  404  404  404  404  401
ledger cat                        GET    404  404  404  404  404  404  404  200  404  401
ledger rex                        GET    404  404  404  404  404  404  200  404  404  401
ledger_file                       GET    200  403  403  403  403  404  404  404  404  401
ledger_file gus                   GET    403  200  403  403  200  404  404  404  404  401
ledger_file cat                   GET    404  404  404  404  404  404  404  200  404  401
ledger_file rex                   GET    404  404  404  404  404  404  200  404  404  401
ledger_table                      GET    200  403  403  403  403  404  404  404  404  401
ledger_table gus                  GET    403  200  403  403  200  404  404  404  404  401
ledger_table cat                  GET    404  404  404  404  404  404  404  200  404  401
ledger_table rex                  GET    404  404  404  404  404  404  200  404  404  401
revision                          GET    200  200  200  200  200  404  404  404  404  401
revision gus                      GET    200  200  200  200  200  404  404  404  404  401
revision cat                      GET    404  404  404  404  404  404  404  200  404  401
revision rex                      GET    404  404  404  404  404  404  200  404  404  401
carry_book                        GET    200  200  200  200  200  200  200  200  404  401
carry_book_change                 GET    200  200  200  200  200  200  200  200  404  401
carry_book_change                 POST   303  303  303  303  303  303  303  303  404  401
carry_book_unit                   POST   303  303  303  303  303  303  303  303  404  401
starter_set                       POST   409  303  303  303  303  303  303  303  404  401
carries_today                     GET    200  200  200  200  200  200  200  200  404  401
club_new                          GET    200  200  200  200  200  200  200  200  404  401
club_new                          POST   303  303  303  303  303  303  303  303  404  401
club                              GET    200  404  404  404  404  404  404  404  404  401
club_change                       GET    200  404  404  404  404  404  404  404  404  401
club_change                       POST   303  404  404  404  404  404  404  404  404  401
club_remove                       GET    200  404  404  404  404  404  404  404  404  401
club_remove                       POST   303  404  404  404  404  404  404  404  404  401
shot_new                          POST   303  404  404  404  404  404  404  404  404  401
shot_remove                       POST   303  404  404  404  404  404  404  404  404  401
shots                             GET    200  200  200  200  200  200  200  200  404  401
shots                             POST   303  303  303  303  303  303  303  303  404  401
shots_undo                        GET    200  404  404  404  404  404  404  404  404  401
shots_undo                        POST   303  404  404  404  404  404  404  404  404  401
imports                           GET    200  200  200  200  200  200  200  200  404  401
imports                           POST   200  200  200  200  200  200  200  200  404  401
imports_template                  GET    200  200  200  200  200  200  200  200  200  401
import                            GET    200  404  404  404  404  404  404  404  404  401
import applied                    GET    200  404  404  404  404  404  404  404  404  401
import undone                     GET    200  404  404  404  404  404  404  404  404  401
import declined                   GET    200  404  404  404  404  404  404  404  404  401
import ben's                      GET    404  200  404  404  404  404  404  404  404  401
import waiting for dan            GET    404  200  200  404  404  404  404  404  404  401
import_apply                      POST   303  404  404  404  404  404  404  404  404  401
import_apply applied              POST   303  404  404  404  404  404  404  404  404  401
import_apply undone               POST   409  404  404  404  404  404  404  404  404  401
import_apply declined             POST   409  404  404  404  404  404  404  404  404  401
import_apply ben's                POST   404  303  404  404  404  404  404  404  404  401
import_apply waiting for dan      POST   404  409  303  404  404  404  404  404  404  401
import_decline                    POST   303  404  404  404  404  404  404  404  404  401
import_decline applied            POST   409  404  404  404  404  404  404  404  404  401
import_decline undone             POST   409  404  404  404  404  404  404  404  404  401
import_decline declined           POST   303  404  404  404  404  404  404  404  404  401
import_decline ben's              POST   404  303  404  404  404  404  404  404  404  401
import_decline waiting for dan    POST   404  303  303  404  404  404  404  404  404  401
import_undo                       GET    200  404  404  404  404  404  404  404  404  401
import_undo                       POST   409  404  404  404  404  404  404  404  404  401
import_undo applied               GET    200  404  404  404  404  404  404  404  404  401
import_undo applied               POST   303  404  404  404  404  404  404  404  404  401
import_undo undone                GET    200  404  404  404  404  404  404  404  404  401
import_undo undone                POST   303  404  404  404  404  404  404  404  404  401
import_undo declined              GET    200  404  404  404  404  404  404  404  404  401
import_undo declined              POST   409  404  404  404  404  404  404  404  404  401
import_undo ben's                 GET    404  200  404  404  404  404  404  404  404  401
import_undo ben's                 POST   404  409  404  404  404  404  404  404  404  401
import_undo waiting for dan       GET    404  200  200  404  404  404  404  404  404  401
import_undo waiting for dan       POST   404  409  409  404  404  404  404  404  404  401
progress                          GET    200  200  200  200  200  200  200  200  404  401
practice                          GET    200  200  200  200  200  200  200  200  404  401
numbers                           GET    200  200  200  200  200  200  200  200  404  401
numbers of the group              GET    200  200  200  200  200  404  404  404  404  401
journal                           GET    200  200  200  200  200  200  200  200  404  401
journal                           POST   200  200  200  200  200  200  200  200  404  401
intentions                        GET    200  200  200  200  200  200  200  200  404  401
intention_new                     GET    200  200  200  200  200  200  200  200  404  401
intention_new                     POST   303  303  303  303  303  303  303  303  404  401
journal_reset                     GET    200  200  200  200  200  200  200  200  404  401
journal_reset                     POST   303  303  303  303  303  303  303  303  404  401
journal_reset_drop                POST   303  404  404  404  404  404  404  404  404  401
journal_reset_evidence            GET    200  200  200  200  200  200  200  200  404  401
journal_settings                  GET    200  200  200  200  200  200  200  200  404  401
journal_settings                  POST   303  303  303  303  303  303  303  303  404  401
journal_export                    GET    200  200  200  200  200  200  200  200  404  401
journal_export                    POST   200  200  200  200  200  200  200  200  404  401
journal_erase                     GET    200  200  200  200  200  200  200  200  404  401
journal_erase                     POST   303  303  303  303  303  303  303  303  404  401
guardian_ask                      GET    200  200  200  200  200  200  200  200  404  401
guardian_ask                      POST   400  400  400  400  400  400  400  400  404  401
intention                         GET    200  404  404  404  404  404  404  404  404  401
intention                         POST   303  404  404  404  404  404  404  404  404  401
intention_drop                    GET    200  404  404  404  404  404  404  404  404  401
intention_drop                    POST   303  404  404  404  404  404  404  404  404  401
look_back                         GET    200  404  404  404  404  404  404  404  404  401
look_back                         POST   303  404  404  404  404  404  404  404  404  401
look_back gus                     GET    404  404  404  404  404  404  404  404  404  401
look_back gus                     POST   404  404  404  404  404  404  404  404  404  401
look_back cat                     GET    404  404  404  404  404  404  404  200  404  401
look_back cat                     POST   404  404  404  404  404  404  404  303  404  401
look_back rex                     GET    404  404  404  404  404  404  200  404  404  401
look_back rex                     POST   404  404  404  404  404  404  303  404  404  401
journal_entry                     GET    200  404  404  404  404  404  404  404  404  401
journal_entry_drop                GET    200  404  404  404  404  404  404  404  404  401
journal_entry_drop                POST   303  404  404  404  404  404  404  404  404  401
journal_share                     GET    200  404  404  404  404  404  404  404  404  401
journal_share                     POST   303  404  404  404  404  404  404  404  404  401
journal_share_withdraw            POST   303  404  404  404  404  404  404  404  404  401
journal_entry draft               GET    200  404  404  404  404  404  404  404  404  401
journal_entry_drop draft          GET    200  404  404  404  404  404  404  404  404  401
journal_entry_drop draft          POST   303  404  404  404  404  404  404  404  404  401
journal_share draft               GET    200  404  404  404  404  404  404  404  404  401
journal_share draft               POST   400  404  404  404  404  404  404  404  404  401
journal_share_withdraw draft      POST   303  404  404  404  404  404  404  404  404  401
journal_shared                    GET    404  404  200  404  404  404  404  404  404  401
journal_shared draft              GET    404  404  404  404  404  404  404  404  404  401
guardian                          GET    403  200  200  200  200  200  200  200  200  200
guardian                          POST   403  200  200  200  200  200  200  200  200  200
journal_evidence                  GET    200  200  200  200  200  200  200  200  200  401
journal_help                      GET    200  200  200  200  200  200  200  200  200  401
barrier_new                       GET    303  303  303  303  303  303  303  303  303  401
barrier_new                       POST   303  303  303  303  303  303  303  303  404  401
barrier_hide                      POST   303  404  404  404  404  404  404  404  404  401
barrier_hide hidden               POST   303  404  404  404  404  404  404  404  404  401
barrier_drop                      GET    200  404  404  404  404  404  404  404  404  401
barrier_drop                      POST   303  404  404  404  404  404  404  404  404  401
barrier_drop hidden               GET    200  404  404  404  404  404  404  404  404  401
barrier_drop hidden               POST   303  404  404  404  404  404  404  404  404  401
plans                             GET    200  200  200  200  200  200  200  200  404  401
plan_new                          GET    200  200  200  200  200  200  200  200  404  401
plan_new                          POST   303  303  303  303  303  400  400  400  404  401
plan                              GET    200  404  404  404  404  404  404  404  404  401
plan_sheet                        GET    200  404  404  404  404  404  404  404  404  401
plan_hole                         GET    200  404  404  404  404  404  404  404  404  401
plan_hole                         POST   303  404  404  404  404  404  404  404  404  401
plan_anew                         GET    200  404  404  404  404  404  404  404  404  401
plan_anew                         POST   303  404  404  404  404  404  404  404  404  401
plan_kept                         GET    200  404  404  404  404  404  404  404  404  401
plan_kept                         POST   303  404  404  404  404  404  404  404  404  401
plan_remove                       GET    200  404  404  404  404  404  404  404  404  401
plan_remove                       POST   303  404  404  404  404  404  404  404  404  401
card                              GET    200  200  200  200  200  200  200  200  404  401
card_who                          GET    200  200  200  200  200  200  200  200  404  401
card_worker                       GET    200  200  200  200  200  200  200  200  200  200
card_manifest                     GET    200  200  200  200  200  200  200  200  200  200
"""
